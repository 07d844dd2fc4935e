import { characterDeviceAccess } from "./character-device.js";
import { type GpiodTools, installedTools } from "./gpiod-tools.js";
import type { LineAccess, LineEntry } from "./line.js";
import { onoffLines } from "./onoff-line.js";
import { byNumber } from "./pick-line.js";
import { hasSysfsLines, type SysfsLineFactory, sysfsAccess } from "./sysfs.js";

export interface LineBoundary {
  /** The root of the kernel's attribute files: "/sys", or a folder that stands for it. */
  readonly sysRoot: string;
  /** Monotonic time, milliseconds. */
  readonly mono: () => number;
  /** How lines in sysfs are had; through `onoff` where not given. */
  readonly gpio?: SysfsLineFactory | undefined;
  /** The tools for the character devices; those that are installed where not given. */
  readonly tools?: GpiodTools | undefined;
}

const installed = installedTools();

/**
 * The way to a line: through sysfs where the kernel has it, unless the entry asks for what only the character devices give,
 * a bias or a line by its name.
 */
export async function accessFor(entry: LineEntry, boundary: LineBoundary): Promise<LineAccess> {
  const { sysRoot, mono, gpio = onoffLines, tools = installed } = boundary;
  const device = (because: string) =>
    characterDeviceAccess({ tools, mono, why: `through /dev/gpiochip…, because ${because}` });
  if (entry.bias !== undefined) return device("a bias is asked for, which sysfs cannot set");
  if (!byNumber(entry)) return device("the line is given by its name, which sysfs does not show");
  if (await hasSysfsLines(sysRoot)) return sysfsAccess(sysRoot, gpio);
  return device("this kernel has no /sys/class/gpio");
}
