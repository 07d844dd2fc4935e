/* What is wired where, and what the parts in hand are. Everything else follows from it. */
#ifndef CONFIG_H
#define CONFIG_H

#ifndef F_CPU
#error "F_CPU, the clock in hertz, is set by the Makefile"
#endif

/* Bits per second on the serial line; `baud` in station.yaml says the same. */
#define BAUD 115200UL
/* At 16 MHz 115 200 is really 117 647, 2.1 % too fast (data sheet of the ATmega328P, USART, from memory). */
#define BAUD_TOL 3

/* 1-Wire probes, each on a wire of its own, so that none can be taken for the other. Port B. */
#define COOLANT_IN_WIRE (1 << PB1)
#define COOLANT_OUT_WIRE (1 << PB2)

/* SHT3x: 0x44 with ADDR at ground, 0x45 with ADDR at the supply (data sheet SHT3x-DIS, version 5, table 8). */
#define ROOM_ADDRESS 0x44

/* Pulses. INT0 is PD2 and INT1 is PD3. A second contact in each plug, joined to ground inside it, tells a wire that is off from
   a rotor that stands; with 0 here that is not looked at, and a missing wire reads as 0. */
#define FLOW_WIRE_TEST (1 << PD6)
#define FAN_WIRE_TEST (1 << PD7)
/* Pulses a revolution of the fan (Intel, 4-Wire PWM Controlled Fans, specification). */
#define FAN_PULSES 2
/* Pulses per litre, from the sheet of the flow meter. */
#define FLOW_PULSES_PER_LITRE 450
/* Edges that follow one another faster are noise, microseconds: 15 000 1/min of the fan, 66 l/min of the flow meter. */
#define FAN_LEAST_US 2000
#define FLOW_LEAST_US 2000

/* Opto-coupler of laser-on, on port D: low while its LED is lit. */
#define LASER_PIN (1 << PD4)
/* Milliseconds for which a new level must stand. */
#define LASER_SETTLE_MS 10

/* Differential pressure in the duct: a ratiometric sensor on ADC0, 10 % of the supply at 0 Pa and 90 % at its full scale. */
#define DUCT_FULL_SCALE_PA 500

#endif
