import {
  AVRADC,
  AVRClock,
  AVRIOPort,
  AVRTimer,
  AVRTWI,
  AVRUSART,
  AVRWatchdog,
  adcConfig,
  avrInstruction,
  CPU,
  portBConfig,
  portCConfig,
  portDConfig,
  timer1Config,
  twiConfig,
  usart0Config,
  watchdogConfig,
} from "avr8js";
import { CLOCK_HZ } from "./firmware-build.js";

/** Bits of MCUSR, the register that says why the chip began anew. */
export const POWER_ON = 0x01;
export const EXTERNAL = 0x02;
export const BROWN_OUT = 0x04;
export const WATCHDOG = 0x08;

const MCUSR = 0x54;
const SMCR = 0x53;
const SLEEP_ENABLED = 0x01;
const WDTCSR = 0x60;
const WDE = 0x08;
const WDCE = 0x10;
const SLEEP = 0x9588;
/** `rjmp .-2`: the loop without end into which avr-libc's `exit` goes. */
const LOOP_FOR_EVER = 0xcfff;
/** While the processor does nothing time goes on in steps of so many cycles, one microsecond. */
const IDLE_STEP = 16;
/** Of the ATmega328P's RAM. */
const RAM_BYTES = 2048;

/** Anything wired to the chip. It is wired anew to what comes after a reset, whose time goes on. */
export interface Wired {
  attach(chip: Chip): void;
}

/** An ATmega328P from one reset to the next. Its time is counted in its own cycles and in nothing else. */
export class Chip {
  readonly #cpu: CPU;
  readonly portB: AVRIOPort;
  readonly portC: AVRIOPort;
  readonly portD: AVRIOPort;
  readonly twi: AVRTWI;
  readonly adc: AVRADC;
  #wasReset = false;

  /** @param cause bits of MCUSR @param cycles at which the time before ended */
  constructor(program: Uint16Array, cause: number, cycles: number, sent: (byte: number) => void) {
    const cpu = new CPU(program, RAM_BYTES);
    cpu.cycles = cycles;
    this.#cpu = cpu;
    this.portB = new AVRIOPort(cpu, portBConfig);
    this.portC = new AVRIOPort(cpu, portCConfig);
    this.portD = new AVRIOPort(cpu, portDConfig);
    this.twi = new AVRTWI(cpu, twiConfig, CLOCK_HZ);
    this.adc = new AVRADC(cpu, adcConfig);
    new AVRTimer(cpu, timer1Config);
    new AVRUSART(cpu, usart0Config, CLOCK_HZ).onByteTransmit = sent;
    new AVRWatchdog(cpu, watchdogConfig, new AVRClock(cpu, CLOCK_HZ));
    cpu.data[MCUSR] = cause;
    // After a reset by the watchdog it is on, with its shortest time.
    if (cause & WATCHDOG) for (const value of [WDCE | WDE, WDE]) cpu.writeData(WDTCSR, value);
    cpu.reset = () => {
      this.#wasReset = true;
    };
  }

  /** Seconds since the board was first switched on. */
  get seconds(): number {
    return this.#cpu.cycles / CLOCK_HZ;
  }

  get cycles(): number {
    return this.#cpu.cycles;
  }

  after(microseconds: number, act: () => void): void {
    this.#cpu.addClockEvent(act, Math.round((microseconds * CLOCK_HZ) / 1e6));
  }

  /** @returns whether the watchdog put an end to it */
  run(untilCycles: number): boolean {
    const cpu = this.#cpu;
    while (cpu.cycles < untilCycles && !this.#wasReset) {
      const opcode = cpu.progMem[cpu.pc];
      if (opcode === SLEEP && ((cpu.data[SMCR] ?? 0) & SLEEP_ENABLED) !== 0) {
        cpu.pc += 1;
        this.#idle(untilCycles);
      } else if (opcode === LOOP_FOR_EVER && !cpu.interruptsEnabled) {
        this.#idle(untilCycles);
      } else {
        avrInstruction(cpu);
        cpu.tick();
      }
    }
    return this.#wasReset;
  }

  /**
   * The processor does nothing, and the peripherals go on by their clock until one of them interrupts: in sleep, which the library takes
   * for no operation, and in a loop that nothing leads out of.
   */
  #idle(untilCycles: number): void {
    const cpu = this.#cpu;
    const at = cpu.pc;
    do {
      cpu.cycles += IDLE_STEP;
      cpu.tick();
    } while (cpu.pc === at && cpu.cycles < untilCycles && !this.#wasReset);
  }

  /** A disturbance throws the program counter into a loop without end, with interrupts off. */
  hang(): void {
    const loop = this.#cpu.progMem.indexOf(LOOP_FOR_EVER);
    if (loop < 0) throw new Error("the firmware has no loop without end to be thrown into");
    this.#cpu.data[95] = 0;
    this.#cpu.pc = loop;
  }
}
