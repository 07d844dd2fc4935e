#include "senml.h"

#include "crc.h"
#include "uart.h"

/* The longest line has some 460 bytes, with every value doubted and at its widest. */
#define MOST_BYTES 600

static char line[MOST_BYTES];
static uint16_t length;
static bool too_long;
static uint16_t sequence;

static void put(char byte) {
  if (length < MOST_BYTES) {
    line[length++] = byte;
  } else {
    too_long = true;
  }
}

static void put_P(const char *text_P) {
  char byte;
  while ((byte = (char)pgm_read_byte(text_P++)) != 0) put(byte);
}

/* 1825 with two decimals is 18.25. */
static void put_fixed(int32_t value, uint8_t decimals) {
  char digits[10];
  uint8_t count = 0;
  uint32_t rest = value < 0 ? 0 - (uint32_t)value : (uint32_t)value;
  if (value < 0) put('-');
  do {
    digits[count++] = (char)('0' + rest % 10);
    rest /= 10;
  } while (rest > 0 || count <= decimals);
  while (count > 0) {
    if (count == decimals) put('.');
    put(digits[--count]);
  }
}

/* The lowest four bits. */
static void put_hex(uint16_t number) {
  uint8_t nibble = number & 0xF;
  put((char)(nibble < 10 ? '0' + nibble : 'A' + nibble - 10));
}

static void begin_record(const char *name_P) {
  if (length > 1) put(',');
  put_P(PSTR("{\"n\":\""));
  put_P(name_P);
  put('"');
}

/* The words of serial-protocol.md for a sensor that has failed. */
static const char *fault_P(verdict_t verdict) {
  switch (verdict) {
    case FAULT_MISSING: return PSTR("fault:missing");
    case FAULT_UNPLUGGED: return PSTR("fault:unplugged");
    case FAULT_TIMED_OUT: return PSTR("fault:timed-out");
    case FAULT_GARBLED: return PSTR("fault:garbled");
    case FAULT_CRC_FAILED: return PSTR("fault:crc-failed");
    case FAULT_ALL_ZEROS: return PSTR("fault:all-zeros");
    case FAULT_POWER_ON_VALUE: return PSTR("fault:power-on-value");
    case FAULT_WIRE_MISSING: return PSTR("fault:wire-missing");
    case FAULT_OUT_OF_VALID_RANGE: return PSTR("fault:out-of-valid-range");
    default: return PSTR("fault:read-error");
  }
}

void senml_begin(void) {
  length = 0;
  too_long = false;
  put('[');
}

void senml_word(const char *name_P, const char *word_P) {
  begin_record(name_P);
  put_P(PSTR(",\"vs\":\""));
  put_P(word_P);
  put_P(PSTR("\"}"));
}

void senml_number(const char *name_P, const char *unit_P, reading_t reading, uint8_t decimals) {
  if (reading.verdict > VALUE_DOUBTFUL) {
    senml_word(name_P, fault_P(reading.verdict));
    return;
  }
  begin_record(name_P);
  put_P(PSTR(",\"u\":\""));
  put_P(unit_P);
  put_P(PSTR("\",\"v\":"));
  put_fixed(reading.value, decimals);
  put('}');
  if (reading.verdict == VALUE_DOUBTFUL) senml_word(name_P, PSTR("doubtful"));
}

void senml_state(const char *name_P, bool state, bool is_doubtful) {
  begin_record(name_P);
  put_P(state ? PSTR(",\"vb\":true}") : PSTR(",\"vb\":false}"));
  if (is_doubtful) senml_word(name_P, PSTR("doubtful"));
}

void senml_send(void) {
  uint16_t crc = 0xFFFF;
  begin_record(PSTR("seq"));
  put_P(PSTR(",\"v\":"));
  put_fixed(sequence++, 0);
  put_P(PSTR("}]"));
  for (uint16_t i = 0; i < length; i++) crc = crc16(crc, (uint8_t)line[i]);
  put('*');
  put_hex(crc >> 12);
  put_hex(crc >> 8);
  put_hex(crc >> 4);
  put_hex(crc);
  put('\n');
  if (!too_long) uart_send(line, length);
}
