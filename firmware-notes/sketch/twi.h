/* The I²C bus as its only master, at 100 kHz. Nothing waits longer than TWI_LIMIT_MS for it. */
#ifndef TWI_H
#define TWI_H

#include <stdint.h>

typedef enum {
  TWI_DONE,
  TWI_NOT_ACKNOWLEDGED,
  /* The bus did nothing: a wire that is held low, or no pull-ups. */
  TWI_STUCK,
} twi_result_t;

#define TWI_LIMIT_MS 5

void twi_begin(void);
twi_result_t twi_write(uint8_t address, const uint8_t *bytes, uint8_t count);
twi_result_t twi_read(uint8_t address, uint8_t *bytes, uint8_t count);

#endif
