/* The serial line out, by interrupt. Nothing is ever received. */
#ifndef UART_H
#define UART_H

#include <stdbool.h>
#include <stdint.h>

void uart_begin(void);

/* Whether the last one has gone out. */
bool uart_is_free(void);

/* Only where it is free. The bytes must stay as they are until it is free again. */
void uart_send(const char *bytes, uint16_t count);

#endif
