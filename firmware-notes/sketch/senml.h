/* A line of the serial protocol, built whole before it is sent: records of SenML, the number of the line, and the checksum. */
#ifndef SENML_H
#define SENML_H

#include <avr/pgmspace.h>
#include <stdbool.h>
#include <stdint.h>

#include "verdict.h"

/* Names and units are in flash: PSTR("coolant-in"). */
void senml_begin(void);
void senml_number(const char *name_P, const char *unit_P, reading_t reading, uint8_t decimals);
void senml_state(const char *name_P, bool state, bool is_doubtful);
void senml_word(const char *name_P, const char *word_P);

/* Numbers and closes the line and begins to send it. One that did not fit is left out; its number is then missing. */
void senml_send(void);

#endif
