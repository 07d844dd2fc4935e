/* Why the board began anew, and the watchdog that makes it. */
#ifndef RESET_CAUSE_H
#define RESET_CAUSE_H

/* A word of the serial protocol, in flash. */
const char *reset_cause_P(void);

/* Says that all is well. Without it for two seconds (from 1.8 to 2.2, by the watchdog's own oscillator) the board begins anew. */
void watchdog_feed(void);

#endif
