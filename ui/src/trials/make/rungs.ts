import type { TypedList } from "../typed/numbers.js";
import { typedNumber } from "../typed/numbers.js";
import { MOST_RUNGS } from "./plan-draft.js";

/**
 * Rungs at even distances from one end to the other, both among them, to a hundredth.
 * @returns none where one of the three is no fit number
 */
export function evenRungs(from: string, to: string, count: string): readonly number[] {
  const [first, last, n] = [typedNumber(from), typedNumber(to), typedNumber(count)];
  if (first === null || last === null || n === null || !Number.isInteger(n)) return [];
  if (n < 1 || n > MOST_RUNGS || !(first > 0) || !(last > 0)) return [];
  if (n === 1) return [first];
  const rung = (i: number) => Math.round((first + ((last - first) * i) / (n - 1)) * 100) / 100;
  return [...new Set(Array.from({ length: n }, (_, i) => rung(i)))];
}

/** The rungs laid anew, where the ends make some; else as they are. */
export function laidRungs(from: string, to: string, count: string, rungs: TypedList): TypedList {
  const taken = evenRungs(from, to, count);
  return taken.length === 0 ? rungs : { taken, typing: "" };
}
