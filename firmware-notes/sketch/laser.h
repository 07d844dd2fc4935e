/* Laser-on, from an opto-coupler: a contact that is debounced, and whose every change is told. */
#ifndef LASER_H
#define LASER_H

#include <stdbool.h>

void laser_begin(void);

/* Looks at the pin; by the interrupt of the tick, once a millisecond. */
void laser_sample(void);

/* Whether a change has not been told yet; it is then the state that `laser_state` gives. */
bool laser_next_edge(void);

/* The state as of the last change that was taken. */
bool laser_state(void);

/* Whether changes came faster than they could be told, since the last time it was asked. */
bool laser_overran(void);

#endif
