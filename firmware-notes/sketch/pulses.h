/* Pulses of the fan (INT1) and of the flow meter (INT0): how fast they come, from the distance of their edges. */
#ifndef PULSES_H
#define PULSES_H

#include "verdict.h"

#define FAN_DECIMALS 1  /* 1/min */
#define FLOW_DECIMALS 3 /* l/min */

void pulses_begin(void);

/* Since the last time each was asked, which should be a second ago. */
reading_t fan_read(void);
reading_t flow_read(void);

#endif
