#include "ds18b20.h"

#include "crc.h"
#include "one_wire.h"

/*
 * From power-on until its first conversion a DS18B20 says 85 °C, with a checksum that is right. It says so too where it lost its
 * supply during a conversion, or did not hear that it should begin one. None of these may pass for a measurement, and a true 85 °C
 * is one, so the number itself is not looked at:
 *
 * - Before each conversion the two alarm bytes, which nothing here uses, are marked, each time otherwise. Their values come back
 *   from the probe's EEPROM at power-on: where the mark is gone it has begun anew since.
 * - After the command to convert it must answer a read slot with 0, which says that it converts; later with 1, that it is done
 *   (data sheet of the DS18B20, Convert T; a probe that is fed by the data wire cannot say so).
 */
enum { SKIP_ROM = 0xCC, CONVERT_T = 0x44, WRITE_SCRATCHPAD = 0x4E, READ_SCRATCHPAD = 0xBE };
enum { TWELVE_BITS = 0x7F };
enum { LOW, HIGH, MARK, MARK_INVERTED, CONFIGURATION, SCRATCHPAD_BYTES = 9 };

static uint8_t inverted(uint8_t mark) { return mark ^ 0xFF; }

static verdict_t address(probe_t *probe) {
  switch (one_wire_reset(probe->wire)) {
    case WIRE_ANSWERED:
      probe->seen = true;
      one_wire_write(probe->wire, SKIP_ROM);
      return VALUE_GOOD;
    case WIRE_HELD_LOW:
      return FAULT_ALL_ZEROS;
    default:
      return probe->seen ? FAULT_UNPLUGGED : FAULT_MISSING;
  }
}

static verdict_t start(probe_t *probe) {
  verdict_t verdict = address(probe);
  if (verdict != VALUE_GOOD) return verdict;
  probe->mark = probe->mark == 0x5A ? 0xA5 : 0x5A;
  one_wire_write(probe->wire, WRITE_SCRATCHPAD);
  one_wire_write(probe->wire, probe->mark);
  one_wire_write(probe->wire, inverted(probe->mark));
  one_wire_write(probe->wire, TWELVE_BITS);
  verdict = address(probe);
  if (verdict != VALUE_GOOD) return verdict;
  one_wire_write(probe->wire, CONVERT_T);
  return one_wire_read_bit(probe->wire) ? FAULT_READ_ERROR : VALUE_GOOD;
}

void ds18b20_start(probe_t *probe) { probe->started = start(probe); }

static reading_t judge(const probe_t *probe, const uint8_t *bytes) {
  uint8_t crc = 0;
  uint8_t any = 0;
  for (uint8_t i = 0; i < SCRATCHPAD_BYTES; i++) {
    crc = crc8_one_wire(crc, bytes[i]);
    any |= bytes[i];
  }
  if (any == 0) return no_reading(FAULT_ALL_ZEROS); /* whose checksum is right as well */
  if (crc != 0) return no_reading(FAULT_CRC_FAILED);
  if (bytes[MARK] != probe->mark || bytes[MARK_INVERTED] != inverted(probe->mark)) return no_reading(FAULT_POWER_ON_VALUE);
  /* Another part of the family counts in other steps. */
  if (bytes[CONFIGURATION] != TWELVE_BITS) return no_reading(FAULT_GARBLED);
  int16_t sixteenths = (int16_t)((uint16_t)bytes[HIGH] << 8 | bytes[LOW]);
  if (sixteenths < -55 * 16 || sixteenths > 125 * 16) return no_reading(FAULT_OUT_OF_VALID_RANGE);
  return reading_of((int32_t)sixteenths * 625);
}

reading_t ds18b20_read(probe_t *probe) {
  uint8_t bytes[SCRATCHPAD_BYTES];
  if (probe->started != VALUE_GOOD) return no_reading(probe->started);
  bool done = one_wire_read_bit(probe->wire);
  verdict_t verdict = address(probe);
  if (verdict != VALUE_GOOD) return no_reading(verdict);
  if (!done) return no_reading(FAULT_TIMED_OUT);
  one_wire_write(probe->wire, READ_SCRATCHPAD);
  for (uint8_t i = 0; i < SCRATCHPAD_BYTES; i++) bytes[i] = one_wire_read(probe->wire);
  return judge(probe, bytes);
}
