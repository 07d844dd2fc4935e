import { readdir } from "node:fs/promises";
import { join } from "node:path";
import type { FoundChip, FoundLine } from "../model/setup.js";
import type { GpiodTools } from "../sources/gpio/gpiod-tools.js";
import { chipsIn, type LineInfo, linesIn } from "../sources/gpio/gpiod-words.js";
import { hasSysfsLines, listChips } from "../sources/gpio/sysfs.js";

/** A chip with what is known of its lines. */
export interface ListedChip {
  readonly label: string;
  readonly lines: number;
  readonly infos: readonly Pick<LineInfo, "line" | "name" | "usedBy">[];
}

/** Lines of the Pi's header that are led out; those above are the board's own. Source: the Pi's pin-out, from memory. */
const HEADER_LINES = 28;
/** Other chips may have hundreds; a page of those helps nobody. */
const MOST_LINES = 64;
const HEADER_LABEL = /^pinctrl-(bcm|rp1)/;

/** What pins of the header are for once that is switched on in config.txt. Source: the Pi's pin-out, from memory. */
const BUSES: readonly { readonly lines: readonly number[]; readonly words: string }[] = [
  { lines: [0, 1], words: "kept for add-on boards" },
  { lines: [2, 3], words: "I2C, where it is switched on" },
  { lines: [4], words: "1-Wire, unless gpiopin= says otherwise" },
  { lines: [7, 8, 9, 10, 11], words: "SPI, where it is switched on" },
  { lines: [14, 15], words: "the serial port of the header" },
];

/** The chips for the page: the header's first. */
export function sortChips(listed: readonly ListedChip[]): readonly FoundChip[] {
  const chips = listed.map(({ label, lines, infos }) => {
    const header = HEADER_LABEL.test(label);
    const count = Math.min(lines, header ? HEADER_LINES : MOST_LINES);
    const found = Array.from({ length: count }, (_, line): FoundLine => {
      const info = infos.find((each) => each.line === line);
      const bus = header ? BUSES.find((each) => each.lines.includes(line)) : undefined;
      return { line, name: info?.name ?? null, usedBy: info?.usedBy ?? null, caution: bus?.words ?? null };
    });
    return { label, lines: found };
  });
  return [...chips].sort((a, b) => Number(HEADER_LABEL.test(b.label)) - Number(HEADER_LABEL.test(a.label)));
}

/** The chips that the kernel shows, through sysfs where it has that, else through the tools of gpiod. */
export async function listGpio(sysRoot: string, tools: GpiodTools): Promise<readonly ListedChip[]> {
  if (await hasSysfsLines(sysRoot)) {
    const chips = await listChips(sysRoot);
    const names = await readdir(join(sysRoot, "class", "gpio")).catch((): string[] => []);
    const exported = names.flatMap((name) => /^gpio(\d+)$/.exec(name)?.[1] ?? []).map(Number);
    return chips.map(({ label, base, lines }) => ({
      label,
      lines,
      infos: exported
        .filter((number) => number >= base && number < base + lines)
        .map((number) => ({ line: number - base, name: null, usedBy: "a program, through sysfs" })),
    }));
  }
  try {
    const chips = chipsIn(await tools.survey("gpiodetect"));
    const infos = linesIn(await tools.survey("gpioinfo"));
    return chips.map(({ name, label, lines }) => ({
      label,
      lines,
      infos: infos.filter(({ chip }) => chip === name),
    }));
  } catch {
    // No tools, or no chip that the station's user may see: the page says what to do about none.
    return [];
  }
}
