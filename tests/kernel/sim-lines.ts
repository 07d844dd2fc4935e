import type { Guest } from "./guest.js";
import { patiently } from "./guest-drivers.js";

export const CHIP_LABEL = "bench";
/** A driver of the kernel's own holds this line. */
export const TAKEN_LINE = 6;
const LINES = 8;
const NAMES = ["lid", "laser", "air", "tacho", "spare", "bench-lamp"] as const;

/**
 * A GPIO chip of eight lines that the kernel's gpio-sim makes: what is pulled here is what an input reads, and what an output
 * drives can be read. Source: Linux, Documentation/admin-guide/gpio/gpio-sim.rst.
 */
export class SimLines {
  private constructor(
    readonly guest: Guest,
    readonly folder: string,
    /** As in /dev. */
    readonly chip: string,
  ) {}

  static async make(guest: Guest): Promise<SimLines> {
    await guest.modules("configfs", "gpio-sim");
    const folders = NAMES.map((_, line) => `line${line}`).join(" ");
    const named = NAMES.map((name, line) => `echo ${name} > line${line}/name`).join("\n");
    const [device, chip] = (
      await guest.mustRun(`
        set -e
        [ -d /sys/kernel/config/gpio-sim ] || mount -t configfs configfs /sys/kernel/config
        cd /sys/kernel/config/gpio-sim
        mkdir -p bench/bank && cd bench/bank
        echo ${LINES} > num_lines
        echo ${CHIP_LABEL} > label
        mkdir -p ${folders} line${TAKEN_LINE}/hog
        ${named}
        echo kernel-driver > line${TAKEN_LINE}/hog/name
        echo input > line${TAKEN_LINE}/hog/direction
        echo 1 > ../live
        cat ../dev_name chip_name`)
    )
      .trim()
      .split("\n");
    return new SimLines(guest, `/sys/devices/platform/${device}/${chip}`, chip as string);
  }

  file(line: number, name: "pull" | "value"): string {
    return `${this.folder}/sim_gpio${line}/${name}`;
  }

  /** @returns the guest's monotonic milliseconds just before and just after */
  pull(line: number, level: 0 | 1): Promise<{ before: number; after: number }> {
    return this.guest.writeNow(this.file(line, "pull"), level === 1 ? "pull-up" : "pull-down");
  }

  async level(line: number): Promise<number> {
    return Number((await this.guest.read(this.file(line, "value"))).trim());
  }

  /** Waits until the line has this level. */
  async becomes(line: number, level: 0 | 1): Promise<void> {
    await patiently(async () => (await this.level(line)) === level, `line ${line} to be ${level}`);
  }

  /** The row of a line in what gpioinfo prints. */
  async info(line: number): Promise<string> {
    const rows = (await this.guest.mustRun(`gpioinfo ${this.chip}`)).split("\n");
    return rows.find((row) => new RegExp(`line +${line}:`).test(row)) ?? "";
  }

  /** What the command line of the gpiomon of a line looks like, for pgrep and pkill. */
  monitorOf(line: number): string {
    return `gpiomon.* ${this.chip} ${line}$`;
  }

  async isWatched(line: number): Promise<boolean> {
    return (await this.info(line)).includes("gpiomon");
  }

  /**
   * Whether the gpiomon of the line waits for edges: it has the line, sleeps, and no signal to end is on its way to it. Once nobody can send
   * it one, it goes on to.
   */
  async listens(line: number): Promise<boolean> {
    const status = `cat "/proc/$(pgrep -f "${this.monitorOf(line)}" | tail -1)/status"`;
    const { out } = await this.guest.run(status);
    return /^State:\s+S/m.test(out) && /^ShdPnd:\s+0+$/m.test(out) && (await this.isWatched(line));
  }
}
