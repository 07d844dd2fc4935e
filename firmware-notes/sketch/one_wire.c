#include "config.h"
#include "one_wire.h"

#include <avr/io.h>
#include <util/atomic.h>
#include <util/delay.h>

/*
 * Times in µs as recommended in Maxim application note 126 (from memory). Where the length of a low or the moment of a sample
 * counts, interrupts are off: 76 µs at most. Everywhere else a slot may be longer, and they are on.
 */

/* The port's bit is 0 for good: output pulls the wire low, input leaves it to the pull-up. */
static inline void pull(uint8_t wire) { DDRB |= wire; }
static inline void release(uint8_t wire) { DDRB &= (uint8_t)~wire; }
static inline bool is_high(uint8_t wire) { return (PINB & wire) != 0; }

void one_wire_begin(uint8_t wires) {
  release(wires);
  PORTB &= (uint8_t)~wires;
}

presence_t one_wire_reset(uint8_t wire) {
  bool answered;
  if (!is_high(wire)) {
    /* It may be the end of a slot; half a millisecond later it is not. */
    _delay_us(500);
    if (!is_high(wire)) return WIRE_HELD_LOW;
  }
  pull(wire);
  _delay_us(480);
  ATOMIC_BLOCK(ATOMIC_RESTORESTATE) {
    release(wire);
    _delay_us(70);
    answered = !is_high(wire);
  }
  _delay_us(410);
  /* A presence pulse is over by now. */
  if (!is_high(wire)) return WIRE_HELD_LOW;
  return answered ? WIRE_ANSWERED : WIRE_NOBODY;
}

static void write_bit(uint8_t wire, bool bit) {
  if (bit) {
    ATOMIC_BLOCK(ATOMIC_RESTORESTATE) {
      pull(wire);
      _delay_us(6);
      release(wire);
    }
    _delay_us(64);
  } else {
    ATOMIC_BLOCK(ATOMIC_RESTORESTATE) {
      pull(wire);
      _delay_us(60);
      release(wire);
    }
    _delay_us(10);
  }
}

void one_wire_write(uint8_t wire, uint8_t byte) {
  for (uint8_t bit = 0; bit < 8; bit++, byte >>= 1) write_bit(wire, byte & 1);
}

bool one_wire_read_bit(uint8_t wire) {
  bool bit;
  ATOMIC_BLOCK(ATOMIC_RESTORESTATE) {
    pull(wire);
    _delay_us(4);
    release(wire);
    _delay_us(8); /* what the part says holds for 15 µs from the falling edge */
    bit = is_high(wire);
  }
  _delay_us(55);
  return bit;
}

uint8_t one_wire_read(uint8_t wire) {
  uint8_t byte = 0;
  for (uint8_t bit = 0; bit < 8; bit++) {
    byte >>= 1;
    if (one_wire_read_bit(wire)) byte |= 0x80;
  }
  return byte;
}
