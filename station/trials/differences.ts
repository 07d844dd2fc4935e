/** Where two values that JSON can hold differ. */
export interface Difference {
  /** `channels.coolant-in.mean` */
  readonly path: string;
  /** As JSON; "nothing" where there is none. */
  readonly kept: string;
  readonly again: string;
}

/**
 * What `Math.exp` and `Math.log` give is left to the machine in its last bits (ECMA-262, section 21.3.2: "an
 * implementation-approximated value"), and a Pi does differ there from a PC: in four of ten thousand dew points, by less than 1e-14 °C.
 * What a reading adds to a mean is far more than this part of it, or of 1.
 */
const SAME_PART = 1e-9;

/**
 * Every leaf in which `again` is not what was `kept`, by way of JSON: what JSON cannot tell apart is the same. Whole numbers are
 * the same or not; others are where they differ by no more than processors do.
 */
export function differences(kept: unknown, again: unknown): Difference[] {
  return walk(asJson(kept), asJson(again), "");
}

function asJson(value: unknown): unknown {
  return value === undefined ? undefined : JSON.parse(JSON.stringify(value));
}

function walk(kept: unknown, again: unknown, path: string): Difference[] {
  if (!isObject(kept) || !isObject(again) || Array.isArray(kept) !== Array.isArray(again)) {
    return JSON.stringify(kept) === JSON.stringify(again) || isNear(kept, again)
      ? []
      : [{ path: path === "" ? "(all)" : path, kept: shown(kept), again: shown(again) }];
  }
  const keys = new Set([...Object.keys(kept), ...Object.keys(again)]);
  return [...keys].flatMap((key) => walk(kept[key], again[key], path === "" ? key : `${path}.${key}`));
}

function isNear(a: unknown, b: unknown): boolean {
  if (typeof a !== "number" || typeof b !== "number") return false;
  if (Number.isInteger(a) && Number.isInteger(b)) return false;
  return Math.abs(a - b) <= SAME_PART * Math.max(1, Math.abs(a), Math.abs(b));
}

function isObject(value: unknown): value is Readonly<Record<string, unknown>> {
  return typeof value === "object" && value !== null;
}

function shown(value: unknown): string {
  return value === undefined ? "nothing" : JSON.stringify(value);
}
