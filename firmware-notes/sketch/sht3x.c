#include "config.h"
#include "sht3x.h"

#include <stdbool.h>

#include "crc.h"
#include "twi.h"

/* Single shot, high repeatability, without holding the clock (data sheet SHT3x-DIS, version 5, table 9). */
static const uint8_t MEASURE[] = {0x24, 0x00};

static bool seen;
static verdict_t started = FAULT_MISSING;

void sht3x_start(void) {
  switch (twi_write(ROOM_ADDRESS, MEASURE, sizeof MEASURE)) {
    case TWI_DONE:
      seen = true;
      started = VALUE_GOOD;
      break;
    case TWI_STUCK:
      started = FAULT_TIMED_OUT;
      break;
    default:
      started = seen ? FAULT_UNPLUGGED : FAULT_MISSING;
  }
}

/* Two bytes, the higher first, and their checksum. @return whether it is right */
static bool word(const uint8_t *bytes, uint16_t *into) {
  *into = (uint16_t)((uint16_t)bytes[0] << 8 | bytes[1]);
  return crc8_sht(crc8_sht(0xFF, bytes[0]), bytes[1]) == bytes[2];
}

static room_t neither(verdict_t why) { return (room_t){no_reading(why), no_reading(why)}; }

room_t sht3x_read(void) {
  uint8_t bytes[6];
  uint16_t raw;
  room_t room;
  if (started != VALUE_GOOD) return neither(started);
  switch (twi_read(ROOM_ADDRESS, bytes, sizeof bytes)) {
    case TWI_DONE:
      break;
    case TWI_STUCK:
      return neither(FAULT_TIMED_OUT);
    default:
      /* It answered to its address before: it is still measuring, or has begun anew. */
      return neither(FAULT_READ_ERROR);
  }
  /* T = −45 + 175 S / (2^16 − 1) and RH = 100 S / (2^16 − 1), section 4.13; in hundredths, rounded. */
  room.temperature = word(bytes, &raw) ? reading_of((17500L * raw + 32767) / 65535 - 4500) : no_reading(FAULT_CRC_FAILED);
  room.humidity = word(bytes + 3, &raw) ? reading_of((10000L * raw + 32767) / 65535) : no_reading(FAULT_CRC_FAILED);
  return room;
}
