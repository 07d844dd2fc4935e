#include "config.h"
#include "laser.h"

#include <avr/io.h>
#include <stdint.h>
#include <util/atomic.h>

/* Changes that wait while a line is being sent. They alternate, so that their number is enough. */
#define MOST_WAITING 8

static uint8_t against; /* milliseconds for which the pin has said otherwise */
static bool settled;
static volatile uint8_t waiting;
static volatile bool overran;
static bool told;

static bool is_lit(void) { return (PIND & LASER_PIN) == 0; }

void laser_begin(void) {
  PORTD |= LASER_PIN;
  settled = told = is_lit();
}

void laser_sample(void) {
  if (is_lit() == settled) {
    against = 0;
  } else if (++against >= LASER_SETTLE_MS) {
    against = 0;
    settled = !settled;
    /* Two that are lost leave the rest as they alternate. */
    if (waiting < MOST_WAITING) {
      waiting++;
    } else {
      waiting--;
      overran = true;
    }
  }
}

bool laser_next_edge(void) {
  bool is_one = false;
  ATOMIC_BLOCK(ATOMIC_RESTORESTATE) {
    if (waiting > 0) {
      waiting--;
      is_one = true;
    }
  }
  if (is_one) told = !told;
  return is_one;
}

bool laser_state(void) { return told; }

bool laser_overran(void) {
  bool was;
  ATOMIC_BLOCK(ATOMIC_RESTORESTATE) {
    was = overran;
    overran = false;
  }
  return was;
}
