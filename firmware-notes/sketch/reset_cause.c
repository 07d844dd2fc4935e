#include "config.h"
#include "reset_cause.h"

#include <avr/io.h>
#include <avr/pgmspace.h>
#include <avr/wdt.h>

/* Not cleared at the start, which comes after it was filled. */
static uint8_t cause __attribute__((section(".noinit")));

/*
 * Before anything else: after a reset by the watchdog it stays on with its shortest time, 16 ms, which is less than the start
 * takes (data sheet of the ATmega328P, watchdog timer, from memory). A boot loader may have cleared MCUSR; those that do hand it
 * on in register 2 (Optiboot does, from memory), which nothing has touched here yet.
 */
__attribute__((naked, used, section(".init3"))) void reset_cause_begin(void) {
  uint8_t handed_on;
  __asm__ __volatile__("mov %0, r2" : "=r"(handed_on));
  uint8_t flags = MCUSR;
  cause = flags != 0 ? flags : handed_on;
  MCUSR = 0;
  wdt_enable(WDTO_2S);
}

const char *reset_cause_P(void) {
  /* A supply that comes up slowly sets more than one: the first of these is what happened. */
  if (cause & (1 << PORF)) return PSTR("power-on");
  if (cause & (1 << BORF)) return PSTR("brown-out");
  if (cause & (1 << WDRF)) return PSTR("watchdog");
  if (cause & (1 << EXTRF)) return PSTR("external");
  return PSTR("unknown");
}

void watchdog_feed(void) { wdt_reset(); }
