import type { Guest } from "./guest.js";

const LM75 = 0x48;
const SHT21 = 0x40;
const OTHER = 0x4a;
const FAULT = "/sys/module/i2c_stub_fault/parameters/fail";

/** What the kernel calls the errors; the numbers are those of Linux on amd64 and arm64. */
export const ERRNO = { none: 0, EIO: 5, ENXIO: 6, ETIMEDOUT: 110 } as const;

/**
 * An I²C bus whose chips are registers that are set here (the kernel's i2c-stub, built with a fault to switch on), with the
 * kernel's own drivers on it: an lm75 and an sht21. SMBus sends the low byte of a word first, these chips the high one.
 */
export class SimBus {
  private constructor(
    readonly guest: Guest,
    readonly number: string,
  ) {}

  static async make(guest: Guest): Promise<SimBus> {
    await guest.modules("i2c-dev", "lm75", "sht21", "ads7828");
    await guest.mustRun(`modprobe i2c-stub-fault chip_addr=${LM75},${SHT21},${OTHER}`);
    const list = await guest.mustRun("i2cdetect -l");
    const bus = new SimBus(guest, /^i2c-(\d+)\s.*stub/im.exec(list)?.[1] ?? "");
    await bus.outlet(20);
    await bus.room(20, 45);
    await bus.plugOutletIn();
    await bus.#bind("sht21", SHT21);
    return bus;
  }

  /** What the lm75 measures: 1/256 °C in a word of which the driver takes the upper bits (data sheet of the LM75). */
  outlet(celsius: number): Promise<void> {
    return this.#set(LM75, 0, Math.round(celsius * 256));
  }

  /** T = −46.85 + 175.72 S / 2¹⁶ and RH = −6 + 125 S / 2¹⁶ (data sheet of the SHT21, section 6). */
  async room(celsius: number, percent: number): Promise<void> {
    await this.#set(SHT21, 0xe3, Math.round(((celsius + 46.85) / 175.72) * 2 ** 16));
    await this.#set(SHT21, 0xe5, Math.round(((percent + 6) / 125) * 2 ** 16));
  }

  /** Every transfer on the bus fails with this from now on. */
  fail(errno: number): Promise<void> {
    return this.guest.write(FAULT, `${errno}`);
  }

  plugOutletIn(): Promise<void> {
    return this.#bind("lm75", LM75);
  }

  unplugOutlet(): Promise<void> {
    return this.guest.write(
      `/sys/bus/i2c/devices/i2c-${this.number}/delete_device`,
      `0x${LM75.toString(16)}`,
    );
  }

  /** Another chip is bound, and takes the number that has become free. */
  plugOtherIn(): Promise<void> {
    return this.#bind("ads7828", OTHER);
  }

  /** The kernel's folder of the lm75: hwmon and a number. */
  async outletFolder(): Promise<string> {
    const found = await this.guest.mustRun('grep -l "^lm75$" /sys/class/hwmon/hwmon*/name');
    return /hwmon\d+/.exec(found)?.[0] ?? "";
  }

  #bind(driver: string, address: number): Promise<void> {
    return this.guest.write(
      `/sys/bus/i2c/devices/i2c-${this.number}/new_device`,
      `${driver} 0x${address.toString(16)}`,
    );
  }

  async #set(chip: number, register: number, word: number): Promise<void> {
    const swapped = ((word & 0xff) << 8) | ((word >> 8) & 0xff);
    await this.guest.mustRun(`i2cset -f -y ${this.number} ${chip} ${register} ${swapped} w`);
  }
}
