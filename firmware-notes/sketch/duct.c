#include "config.h"
#include "duct.h"

#include <avr/io.h>
#include <stdbool.h>

#include "ticks.h"

#define SAMPLES 16
#define COUNTS 1024L
/* A conversion takes a tenth of a millisecond. */
#define LIMIT_MS 3

void duct_begin(void) {
  /* The supply is the reference: the sensor's output goes up and down with it, and so the ratio does not. */
  ADMUX = 1 << REFS0;
  DIDR0 = 1 << ADC0D;
  /* Clock / 128 is 125 kHz at 16 MHz, within the 50 to 200 kHz for ten bits (data sheet of the ATmega328P, from memory). */
  ADCSRA = (1 << ADEN) | (1 << ADPS2) | (1 << ADPS1) | (1 << ADPS0);
}

static bool sample(uint16_t *into) {
  uint16_t since = ticks_ms();
  ADCSRA |= 1 << ADSC;
  while (ADCSRA & (1 << ADSC)) {
    if ((uint16_t)(ticks_ms() - since) > LIMIT_MS) return false;
  }
  *into = ADC;
  return true;
}

reading_t duct_read(void) {
  uint16_t sum = 0;
  uint16_t one;
  for (uint8_t i = 0; i < SAMPLES; i++) {
    if (!sample(&one)) return no_reading(FAULT_TIMED_OUT);
    sum += one;
  }
  /* Alive, the sensor stays between 10 % and 90 %. Below 5 % its wire is off (100 kΩ to ground), above 95 % it is shorted. */
  if (sum < SAMPLES * COUNTS / 20) return no_reading(FAULT_WIRE_MISSING);
  if (sum > SAMPLES * COUNTS * 19 / 20) return no_reading(FAULT_OUT_OF_VALID_RANGE);
  /* (share − 0.1) / 0.8 of the full scale, in tenths of a pascal. */
  int32_t above = (int32_t)sum * 10 - SAMPLES * COUNTS;
  return reading_of(above * (10L * DUCT_FULL_SCALE_PA) / (8 * SAMPLES * COUNTS));
}
