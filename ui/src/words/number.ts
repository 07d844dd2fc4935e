import { CHANNEL_KINDS, type ChannelKind, UNITS, type Unit } from "../../../station/model/quantity.js";

const TRUE_MINUS = "\u2212";
const NO_BREAK = "\u00a0";

/** What stands where there is no number to give. */
export const NO_VALUE = "\u2013";

const formats = new Map<number, Intl.NumberFormat>();

function fixed(decimals: number): Intl.NumberFormat {
  const known = formats.get(decimals);
  if (known) return known;
  const made = new Intl.NumberFormat("en-GB", {
    minimumFractionDigits: decimals,
    maximumFractionDigits: decimals,
    // As in the station's own sentences: "2610", but "12,610".
    useGrouping: "min2",
    // A value that rounds to zero carries no sign: "−0.0" reads as frost.
    signDisplay: "negative",
  });
  formats.set(decimals, made);
  return made;
}

const free = new Intl.NumberFormat("en-GB", { maximumFractionDigits: 3 });

/** The number with exactly `decimals` places and a true minus sign. */
export function numberText(value: number, decimals: number): string {
  return fixed(decimals).format(value).replace("-", TRUE_MINUS);
}

/** The number as somebody typed it, without zeros that were not there. */
export function asEntered(value: number): string {
  return free.format(value).replace("-", TRUE_MINUS);
}

export function unitLabel(unit: Unit): string {
  return UNITS[unit].label;
}

/** Label of a unit that came as plain text; an unknown one is shown as it came. */
export function anyUnitLabel(unit: string | null): string {
  if (unit === null) return "";
  return unit in UNITS ? UNITS[unit as Unit].label : unit;
}

export function withUnit(value: number, decimals: number, unit: Unit): string {
  const label = unitLabel(unit);
  return label === "" ? numberText(value, decimals) : `${numberText(value, decimals)}${NO_BREAK}${label}`;
}

/** Places worth showing for something the station worked out, where no channel gives its own. */
const DECIMALS: Readonly<Record<Unit, number>> = {
  Cel: 1,
  "%RH": 0,
  "m/s": 1,
  Pa: 0,
  "1/min": 0,
  "l/min": 1,
  "g/m3": 1,
  "Cel/min": 2,
  min: 0,
  "%MC": 1,
  state: 0,
};

export function decimalsOf(unit: Unit): number {
  return DECIMALS[unit];
}

/** Places on a live page: no more than the sensor resolves, and no more than anybody acts on. */
export function shownDecimals(unit: Unit, resolved: number): number {
  return Math.min(resolved, DECIMALS[unit]);
}

const STATE_WORDS: Partial<Record<ChannelKind, readonly [off: string, on: string]>> = {
  "coolant-flowing": ["not flowing", "flowing"],
  "extraction-running": ["stopped", "running"],
  "machine-on": ["off", "on"],
  "laser-on": ["off", "on"],
  "lid-open": ["closed", "open"],
  "foot-switch": ["released", "pressed"],
};

export function isState(kind: ChannelKind): boolean {
  return CHANNEL_KINDS[kind].form === "state";
}

/** What a state channel says, in a word. */
export function stateWord(kind: ChannelKind, value: number): string {
  const [off, on] = STATE_WORDS[kind] ?? ["off", "on"];
  return value === 0 ? off : on;
}

/** A share from 0 to 1 as a whole per cent; only all of it is "100 %". */
export function shareText(share: number): string {
  const percent = share >= 1 ? 100 : Math.min(99, Math.round(share * 100));
  return `${numberText(percent, 0)}${NO_BREAK}%`;
}
