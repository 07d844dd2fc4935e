/* The three checksums: of the line, of the DS18B20, and of the SHT3x. */
#ifndef CRC_H
#define CRC_H

#include <stdint.h>

/* CRC-16/CCITT-FALSE, begun with 0xFFFF (serial-protocol.md). */
uint16_t crc16(uint16_t crc, uint8_t byte);

/* CRC-8 of 1-Wire parts (Maxim application note 27), begun with 0. */
uint8_t crc8_one_wire(uint8_t crc, uint8_t byte);

/* CRC-8 of the SHT3x (data sheet SHT3x-DIS, version 5, table 20), begun with 0xFF. */
uint8_t crc8_sht(uint8_t crc, uint8_t byte);

#endif
