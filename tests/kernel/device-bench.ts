import { Guest } from "./guest.js";
import type { GuestDrivers } from "./guest-drivers.js";
import { SimBus } from "./i2c.js";
import { SimLines } from "./sim-lines.js";
import { UsbBoard, usbPort } from "./usb-board.js";
import { W1Bus } from "./w1-bus.js";

/** What is wired to the lines of the bench's chip; named in the kernel too, see `sim-lines.ts`. */
export const LINE = { lid: 0, laser: 1, air: 2, tacho: 3, spare: 4, lamp: 5 } as const;

/** One guest with all that the drivers can be wired to, and the drivers at work in it. */
export interface DeviceBench {
  readonly guest: Guest;
  readonly lines: SimLines;
  readonly probes: W1Bus;
  readonly bus: SimBus;
  readonly board: UsbBoard;
  drivers: GuestDrivers;
}

/** Boots a guest, and plugs everything in. */
export async function wireUp(): Promise<Omit<DeviceBench, "drivers">> {
  const guest = await Guest.boot({ qemu: usbPort });
  try {
    const lines = await SimLines.make(guest);
    await lines.pull(LINE.air, 1);
    const probes = await W1Bus.make(guest);
    await probes.set(0, "millidegrees", 18_500);
    await probes.set(1, "millidegrees", 21_000);
    const bus = await SimBus.make(guest);
    await guest.modules("iio_dummy");
    await guest.mustRun("mkdir /sys/kernel/config/iio/devices/dummy/bench");
    const board = new UsbBoard(guest, guest.folder);
    await board.ready();
    await board.plugIn();
    return { guest, lines, probes, bus, board };
  } catch (error) {
    await guest.remove();
    throw error;
  }
}
