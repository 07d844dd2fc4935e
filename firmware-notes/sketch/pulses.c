#include "config.h"
#include "pulses.h"

#include <avr/interrupt.h>
#include <avr/io.h>
#include <stdbool.h>
#include <util/atomic.h>

#include "ticks.h"

/* What the interrupt writes and the main loop takes. Moments are stamps. */
typedef struct {
  uint16_t edges;
  uint32_t first;
  uint32_t last; /* of this window, or of the one before it that had an edge */
  bool has_last;
  bool noisy;
} window_t;

typedef struct {
  volatile window_t window;
  /* The last edge of the window before, if it had one. */
  uint32_t before;
  bool has_before;
} counter_t;

static counter_t fan;
static counter_t flow;

void pulses_begin(void) {
  /* Open collectors with a pull-up outside; the chip's own helps where that is forgotten. */
  PORTD |= (1 << PD2) | (1 << PD3) | FLOW_WIRE_TEST | FAN_WIRE_TEST;
  EICRA = (1 << ISC11) | (1 << ISC01); /* falling edges */
  EIFR = (1 << INTF1) | (1 << INTF0);
  EIMSK = (1 << INT1) | (1 << INT0);
}

/* An edge that comes too soon is noise: it is not counted, and the value is then to be doubted. */
static inline void edge(volatile window_t *window, uint32_t least) {
  uint32_t now = ticks_stamp_atomic();
  if (window->has_last && now - window->last < least) {
    window->noisy = true;
    return;
  }
  if (window->edges == 0) window->first = now;
  window->last = now;
  window->has_last = true;
  if (window->edges < UINT16_MAX) window->edges++;
}

ISR(INT0_vect) { edge(&flow.window, STAMPS_OF_US(FLOW_LEAST_US)); }
ISR(INT1_vect) { edge(&fan.window, STAMPS_OF_US(FAN_LEAST_US)); }

/*
 * Counts from edge to edge, over the whole periods that ended in this window, so that a fan of 25 pulses a second is not rounded
 * to 30 1/min. @return thousand times a minute what one pulse is `per_pulse` thousandths of; 0 without two edges
 */
static reading_t rate(counter_t *counter, uint32_t per_pulse, uint16_t pulses_per_unit) {
  window_t now;
  ATOMIC_BLOCK(ATOMIC_RESTORESTATE) {
    now = *(const window_t *)&counter->window;
    counter->window.edges = 0;
    counter->window.noisy = false;
  }
  uint32_t from = counter->has_before ? counter->before : now.first;
  uint16_t periods = counter->has_before || now.edges == 0 ? now.edges : now.edges - 1;
  counter->has_before = now.edges > 0;
  counter->before = now.last;
  reading_t reading = reading_of(0);
  if (periods > 0 && now.last != from) {
    uint64_t whole = (uint64_t)periods * 60 * STAMPS_PER_S * per_pulse;
    uint64_t part = (uint64_t)(now.last - from) * pulses_per_unit;
    reading.value = (int32_t)((whole + part / 2) / part);
  }
  if (now.noisy) reading.verdict = VALUE_DOUBTFUL;
  return reading;
}

static bool wire_is_off(uint8_t test) { return (PIND & test) != 0; }

reading_t fan_read(void) {
  reading_t reading = rate(&fan, 10, FAN_PULSES);
  return wire_is_off(FAN_WIRE_TEST) ? no_reading(FAULT_WIRE_MISSING) : reading;
}

reading_t flow_read(void) {
  reading_t reading = rate(&flow, 1000, FLOW_PULSES_PER_LITRE);
  return wire_is_off(FLOW_WIRE_TEST) ? no_reading(FAULT_WIRE_MISSING) : reading;
}
