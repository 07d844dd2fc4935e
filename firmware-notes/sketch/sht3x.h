/* Temperature and humidity of the room from an SHT3x, one measurement at a time. */
#ifndef SHT3X_H
#define SHT3X_H

#include "verdict.h"

/* Decimals of both readings, which are in °C and % RH. */
#define SHT3X_DECIMALS 2
/* Milliseconds that a measurement of high repeatability takes at most: 15 (data sheet SHT3x-DIS, version 5, table 4, from memory). */
#define SHT3X_MEASURING_MS 20

typedef struct {
  reading_t temperature;
  reading_t humidity;
} room_t;

void sht3x_start(void);
room_t sht3x_read(void);

#endif
