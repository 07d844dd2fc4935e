#include "config.h"
#include "twi.h"

#include <avr/io.h>
#include <stdbool.h>
#include <util/delay.h>
#include <util/twi.h>

#include "ticks.h"

#define SCL_HZ 100000UL
#define SDA (1 << PC4)
#define SCL (1 << PC5)

void twi_begin(void) {
  /* The pull-ups are outside: the chip's own, some 35 kΩ, are too weak. */
  DDRC &= (uint8_t) ~(SDA | SCL);
  PORTC &= (uint8_t) ~(SDA | SCL);
  TWSR = 0;
  TWBR = (F_CPU / SCL_HZ - 16) / 2;
  TWCR = 1 << TWEN;
}

/* Starts what `control` says and waits for its end. */
static bool act(uint8_t control) {
  uint16_t since = ticks_ms();
  TWCR = (1 << TWINT) | (1 << TWEN) | control;
  while (!(TWCR & (1 << TWINT))) {
    if ((uint16_t)(ticks_ms() - since) > TWI_LIMIT_MS) return false;
  }
  return true;
}

static bool has_status(uint8_t status) { return (TWSR & 0xF8) == status; }

static void stop(void) {
  uint16_t since = ticks_ms();
  TWCR = (1 << TWINT) | (1 << TWEN) | (1 << TWSTO);
  while (TWCR & (1 << TWSTO)) {
    if ((uint16_t)(ticks_ms() - since) > TWI_LIMIT_MS) return;
  }
}

/*
 * A part that was cut off in the middle of a byte holds SDA low until it has been given the rest of its clocks: nine at most
 * (I²C-bus specification UM10204, 3.1.16 "Bus clear", from memory). Against a wire that is shorted to ground nothing helps.
 */
static twi_result_t clear_bus(void) {
  TWCR = 0;
  for (uint8_t clocks = 0; clocks < 9 && !(PINC & SDA); clocks++) {
    DDRC |= SCL;
    _delay_us(5);
    DDRC &= (uint8_t)~SCL;
    _delay_us(5);
  }
  /* A stop: SDA goes high while SCL is. */
  DDRC |= SDA;
  _delay_us(5);
  DDRC &= (uint8_t)~SDA;
  _delay_us(5);
  twi_begin();
  return TWI_STUCK;
}

static twi_result_t refused(void) {
  stop();
  return TWI_NOT_ACKNOWLEDGED;
}

static bool start(void) { return act(1 << TWSTA) && (has_status(TW_START) || has_status(TW_REP_START)); }

twi_result_t twi_write(uint8_t address, const uint8_t *bytes, uint8_t count) {
  if (!start()) return clear_bus();
  TWDR = (uint8_t)(address << 1) | TW_WRITE;
  if (!act(0)) return clear_bus();
  if (!has_status(TW_MT_SLA_ACK)) return refused();
  while (count-- > 0) {
    TWDR = *bytes++;
    if (!act(0)) return clear_bus();
    if (!has_status(TW_MT_DATA_ACK)) return refused();
  }
  stop();
  return TWI_DONE;
}

twi_result_t twi_read(uint8_t address, uint8_t *bytes, uint8_t count) {
  if (!start()) return clear_bus();
  TWDR = (uint8_t)(address << 1) | TW_READ;
  if (!act(0)) return clear_bus();
  if (!has_status(TW_MR_SLA_ACK)) return refused();
  while (count-- > 0) {
    /* The last one is not acknowledged, so that the part lets the bus go. */
    if (!act(count > 0 ? 1 << TWEA : 0)) return clear_bus();
    *bytes++ = TWDR;
  }
  stop();
  return TWI_DONE;
}
