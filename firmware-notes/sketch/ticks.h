/* Time: milliseconds for what is due, and stamps of 4 µs for the distance between edges. Both go round and begin again. */
#ifndef TICKS_H
#define TICKS_H

#include <stdbool.h>
#include <stdint.h>

/* Stamps are counted in 64ths of the clock: 4 µs at 16 MHz. */
#define STAMPS_PER_S (F_CPU / 64)
#define STAMPS_OF_US(us) ((uint32_t)((uint64_t)(us) * STAMPS_PER_S / 1000000UL))

void ticks_begin(void);

/* Milliseconds since the start, modulo 2^16. Compare differences, never moments. */
uint16_t ticks_ms(void);

/* The moment in stamps, modulo 2^32 (4.7 hours at 16 MHz). Only where interrupts are off, as in an interrupt. */
uint32_t ticks_stamp_atomic(void);

#endif
