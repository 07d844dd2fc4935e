import type { LineEntry, LineTrouble } from "./line.js";

export interface Chip {
  readonly label: string;
  /** How many lines it has. */
  readonly lines: number;
}

export type Picked<C extends Chip> =
  | { readonly ok: true; readonly chip: C }
  | ({ readonly ok: false } & LineTrouble);

/** The header of a Raspberry Pi, by the labels of its pin controllers: BCM chips up to the Pi 4, RP1 on the Pi 5. */
const HEADER_LABEL = /^pinctrl-(bcm|rp1)/;

/**
 * The chip of the line that an entry means by its number. Without a chip it is that of the Pi's header, or the only chip there
 * is. `line` counts on the chip, so it is the GPIO number printed in pin-out drawings, not the number of the pin.
 * @param whenNone words and what to do where the kernel shows no chip at all
 */
export function pickChip<C extends Chip>(
  chips: readonly C[],
  { chip: wanted, line }: { readonly chip?: string | undefined; readonly line: number },
  whenNone: { readonly detail: string; readonly mend: string },
): Picked<C> {
  const there = chips.map(({ label }) => label).join(", ");
  const none = (detail: string, mend: string): Picked<C> => ({ ok: false, reason: "missing", detail, mend });
  if (chips.length === 0) return none(whenNone.detail, whenNone.mend);
  const header = chips.filter(({ label }) => HEADER_LABEL.test(label));
  const byDefault = header.length > 0 ? header : chips;
  const fitting = wanted === undefined ? byDefault : chips.filter(({ label }) => label.includes(wanted));
  const [chip, second] = fitting;
  if (chip === undefined)
    return none(`no chip is labelled ${wanted}; there are ${there}`, "correct chip in station.yaml");
  if (second !== undefined)
    return none(`several chips fit: ${there}`, "name one of them as chip in station.yaml");
  if (line >= chip.lines) {
    return none(
      `${chip.label} has lines 0 to ${chip.lines - 1}, and no ${line}`,
      "correct line in station.yaml",
    );
  }
  return { ok: true, chip };
}

/** An entry that means its line by number. */
export function byNumber(entry: LineEntry): entry is LineEntry & { readonly line: number } {
  return typeof entry.line === "number";
}
