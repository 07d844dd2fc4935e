/*
 * A board beside the laser: coolant in and out, room, duct, fan, coolant flow and laser-on, as lines of serial-protocol.md once a
 * second, and a line at every change of laser-on. It only looks and tells. It switches nothing, and nothing may hang on it.
 */
#include "config.h"

#include <avr/interrupt.h>
#include <avr/io.h>
#include <avr/sleep.h>
#include <stdbool.h>
#include <stdint.h>

#include "ds18b20.h"
#include "duct.h"
#include "laser.h"
#include "one_wire.h"
#include "pulses.h"
#include "reset_cause.h"
#include "senml.h"
#include "sht3x.h"
#include "ticks.h"
#include "twi.h"
#include "uart.h"

#define SECOND_MS 1000
/* For so many lines after a start they say why it was, in case the first are lost. */
#define LINES_WITH_CAUSE 10

static probe_t coolant_in = {.wire = COOLANT_IN_WIRE};
static probe_t coolant_out = {.wire = COOLANT_OUT_WIRE};
static reading_t in;
static reading_t out;
static room_t room;
static reading_t pressure;
static uint8_t lines_with_cause = LINES_WITH_CAUSE;

static bool start_probes(void) {
  ds18b20_start(&coolant_in);
  ds18b20_start(&coolant_out);
  return true;
}

static bool read_probes(void) {
  in = ds18b20_read(&coolant_in);
  out = ds18b20_read(&coolant_out);
  return true;
}

static bool start_room(void) {
  sht3x_start();
  return true;
}

static bool read_room(void) {
  room = sht3x_read();
  return true;
}

static bool read_duct(void) {
  pressure = duct_read();
  return true;
}

static void send(void) {
  if (lines_with_cause > 0) {
    lines_with_cause--;
    senml_word(PSTR("reset"), reset_cause_P());
  }
  senml_send();
}

static bool report(void) {
  if (!uart_is_free()) return false;
  senml_begin();
  senml_number(PSTR("coolant-in"), PSTR("Cel"), in, DS18B20_DECIMALS);
  senml_number(PSTR("coolant-out"), PSTR("Cel"), out, DS18B20_DECIMALS);
  senml_number(PSTR("room-t"), PSTR("Cel"), room.temperature, SHT3X_DECIMALS);
  senml_number(PSTR("room-rh"), PSTR("%RH"), room.humidity, SHT3X_DECIMALS);
  senml_number(PSTR("duct"), PSTR("Pa"), pressure, DUCT_DECIMALS);
  senml_number(PSTR("fan"), PSTR("1/min"), fan_read(), FAN_DECIMALS);
  senml_number(PSTR("coolant-flow"), PSTR("l/min"), flow_read(), FLOW_DECIMALS);
  senml_state(PSTR("laser"), laser_state(), laser_overran());
  send();
  /* Here and nowhere else: time went on, every sensor had its turn, and the line before this one has gone out. */
  watchdog_feed();
  return true;
}

static void report_edge(void) {
  if (!uart_is_free() || !laser_next_edge()) return;
  senml_begin();
  senml_state(PSTR("laser"), laser_state(), false);
  send();
}

/* A second, step by step. A step that returns false is tried again at the next tick. */
static const struct {
  uint16_t at_ms;
  bool (*act)(void);
} STEPS[] = {
    {0, start_probes},
    {DS18B20_CONVERSION_MS + 50, read_probes},
    {850, start_room},
    {850 + SHT3X_MEASURING_MS + 1, read_room},
    {900, read_duct},
    {950, report},
};
#define STEP_COUNT (sizeof STEPS / sizeof STEPS[0])

/* Right for half of 2^16 ms to either side. */
static bool is_due(uint16_t moment) { return (int16_t)(ticks_ms() - moment) >= 0; }

int main(void) {
  uint16_t second = 0; /* when it began */
  uint8_t step = 0;
  one_wire_begin(COOLANT_IN_WIRE | COOLANT_OUT_WIRE);
  twi_begin();
  pulses_begin();
  duct_begin();
  laser_begin();
  uart_begin();
  ticks_begin();
  SMCR = 1 << SE; /* SLEEP then stops the processor alone, and any interrupt wakes it */
  sei();
  for (;;) {
    report_edge();
    if (is_due(second + STEPS[step].at_ms) && STEPS[step].act() && ++step == STEP_COUNT) {
      step = 0;
      second += SECOND_MS;
    }
    /* Until the next interrupt: the tick, if nothing sooner. */
    sleep_cpu();
  }
}
