/* What became of a reading: a value, a value to be doubted, or none and why. */
#ifndef VERDICT_H
#define VERDICT_H

#include <stdint.h>

typedef enum {
  VALUE_GOOD,
  VALUE_DOUBTFUL,
  /* From here on there is no value. The words for these are in senml.c. */
  FAULT_MISSING,
  FAULT_UNPLUGGED,
  FAULT_READ_ERROR,
  FAULT_TIMED_OUT,
  FAULT_GARBLED,
  FAULT_CRC_FAILED,
  FAULT_ALL_ZEROS,
  FAULT_POWER_ON_VALUE,
  FAULT_WIRE_MISSING,
  FAULT_OUT_OF_VALID_RANGE,
} verdict_t;

/* A number in fixed point; how many decimals it has is known to whoever made it. */
typedef struct {
  int32_t value;
  verdict_t verdict;
} reading_t;

static inline reading_t reading_of(int32_t value) { return (reading_t){value, VALUE_GOOD}; }
static inline reading_t no_reading(verdict_t why) { return (reading_t){0, why}; }

#endif
