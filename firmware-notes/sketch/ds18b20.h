/* A DS18B20, alone on its wire and fed by all three leads. */
#ifndef DS18B20_H
#define DS18B20_H

#include <stdbool.h>

#include "verdict.h"

/* Decimals of a reading, which is in °C. */
#define DS18B20_DECIMALS 4
/* Milliseconds that a conversion of 12 bits takes at most (data sheet, table 2). */
#define DS18B20_CONVERSION_MS 750

typedef struct {
  uint8_t wire;
  /* Answered at least once since the start: who is gone then was unplugged. */
  bool seen;
  /* What was written into the alarm bytes before the conversion. */
  uint8_t mark;
  verdict_t started;
} probe_t;

/* Begins a conversion. */
void ds18b20_start(probe_t *probe);

/* What came of it, after DS18B20_CONVERSION_MS. */
reading_t ds18b20_read(probe_t *probe);

#endif
