import type { Guest } from "./guest.js";

const MASTER = "/sys/bus/w1/devices/w1_bus_master1";

/** The 1-Wire bus of `modules/w1_sim.c` with two probes, read through the kernel's own w1_therm. */
export class W1Bus {
  private constructor(
    readonly guest: Guest,
    /** The probes' folders under /sys/bus/w1/devices. */
    readonly ids: readonly string[],
  ) {}

  static async make(guest: Guest): Promise<W1Bus> {
    const ids = (
      await guest.mustRun("modprobe w1_therm && modprobe w1_sim sensors=2 && cat /sys/kernel/w1_sim/*/id")
    )
      .trim()
      .split("\n");
    return new W1Bus(guest, ids);
  }

  /** @param what a file of the probe, see w1_sim.c */
  set(
    probe: number,
    what: "millidegrees" | "present" | "bad_crc" | "power_on",
    value: number,
  ): Promise<void> {
    return this.guest.write(`/sys/kernel/w1_sim/${probe}/${what}`, `${value}`);
  }

  /** The probes that the kernel shows. */
  async shown(): Promise<string> {
    return this.guest.mustRun("ls /sys/bus/w1/devices");
  }

  /**
   * Has the kernel take a probe off its list now, as it does by itself after ten searches in vain. It says EBUSY where the probe is
   * being read at this moment, and does it when that is over.
   */
  async giveUp(probe: number): Promise<void> {
    await this.guest.run(`echo ${this.ids[probe]} > ${MASTER}/w1_master_remove`);
  }
}
