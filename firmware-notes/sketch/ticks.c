#include "config.h"
#include "ticks.h"

#include <avr/interrupt.h>
#include <avr/io.h>
#include <util/atomic.h>

#include "laser.h"

#define STAMPS_PER_MS ((uint16_t)(STAMPS_PER_S / 1000))
#if F_CPU % 64000UL != 0
#error "F_CPU must be a multiple of 64 kHz, or the second would not be one"
#endif

static volatile uint16_t milliseconds;
static volatile uint16_t overflows;

void ticks_begin(void) {
  TCCR1A = 0;
  TCCR1B = (1 << CS11) | (1 << CS10); /* clock / 64, never stopped and never set */
  OCR1A = TCNT1 + STAMPS_PER_MS;
  TIMSK1 = (1 << OCIE1A) | (1 << TOIE1);
}

ISR(TIMER1_COMPA_vect) {
  /* From the last moment and not from now: an interrupt that comes late makes no millisecond longer. */
  OCR1A += STAMPS_PER_MS;
  milliseconds++;
  laser_sample();
}

ISR(TIMER1_OVF_vect) { overflows++; }

uint16_t ticks_ms(void) {
  uint16_t now;
  ATOMIC_BLOCK(ATOMIC_RESTORESTATE) { now = milliseconds; }
  return now;
}

uint32_t ticks_stamp_atomic(void) {
  uint16_t low = TCNT1;
  uint16_t high = overflows;
  /* It went round, and its interrupt has not had its turn. A low count says that it was before the reading and not after. */
  if ((TIFR1 & (1 << TOV1)) && low < 0x8000) high++;
  return ((uint32_t)high << 16) | low;
}
