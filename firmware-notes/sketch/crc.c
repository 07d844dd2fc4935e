#include "crc.h"

uint16_t crc16(uint16_t crc, uint8_t byte) {
  crc ^= (uint16_t)byte << 8;
  for (uint8_t bit = 0; bit < 8; bit++) crc = (crc & 0x8000) ? (uint16_t)(crc << 1) ^ 0x1021 : (uint16_t)(crc << 1);
  return crc;
}

uint8_t crc8_one_wire(uint8_t crc, uint8_t byte) {
  crc ^= byte;
  for (uint8_t bit = 0; bit < 8; bit++) crc = (crc & 1) ? (uint8_t)(crc >> 1) ^ 0x8C : (uint8_t)(crc >> 1);
  return crc;
}

uint8_t crc8_sht(uint8_t crc, uint8_t byte) {
  crc ^= byte;
  for (uint8_t bit = 0; bit < 8; bit++) crc = (crc & 0x80) ? (uint8_t)(crc << 1) ^ 0x31 : (uint8_t)(crc << 1);
  return crc;
}
