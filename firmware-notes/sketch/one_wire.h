/* The 1-Wire bus at standard speed, by hand, on pins of port B. `wire` is the pin's bit. */
#ifndef ONE_WIRE_H
#define ONE_WIRE_H

#include <stdbool.h>
#include <stdint.h>

typedef enum { WIRE_ANSWERED, WIRE_NOBODY, WIRE_HELD_LOW } presence_t;

void one_wire_begin(uint8_t wires);
presence_t one_wire_reset(uint8_t wire);
void one_wire_write(uint8_t wire, uint8_t byte);
bool one_wire_read_bit(uint8_t wire);
uint8_t one_wire_read(uint8_t wire);

#endif
