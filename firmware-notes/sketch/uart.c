#include "config.h"
#include "uart.h"

#include <avr/interrupt.h>
#include <avr/io.h>
#include <util/atomic.h>
#include <util/setbaud.h>

static const char *volatile next;
static volatile uint16_t left;

void uart_begin(void) {
  UBRR0 = UBRR_VALUE;
#if USE_2X
  UCSR0A = 1 << U2X0;
#else
  UCSR0A = 0;
#endif
  UCSR0C = (1 << UCSZ01) | (1 << UCSZ00);
  UCSR0B = 1 << TXEN0;
}

bool uart_is_free(void) {
  bool is_free;
  ATOMIC_BLOCK(ATOMIC_RESTORESTATE) { is_free = left == 0; }
  return is_free;
}

void uart_send(const char *bytes, uint16_t count) {
  ATOMIC_BLOCK(ATOMIC_RESTORESTATE) {
    next = bytes;
    left = count;
    if (count > 0) UCSR0B |= 1 << UDRIE0;
  }
}

ISR(USART_UDRE_vect) {
  const char *at = next;
  UDR0 = (uint8_t)*at;
  next = at + 1;
  if (--left == 0) UCSR0B &= (uint8_t) ~(1 << UDRIE0);
}
