import type { Inks } from "./inks.js";

/** How lines in one panel are told apart: by ink and dashes, colour being kept for what is not as it should be. */
export interface TraceStyle {
  readonly ink: "line" | "secondLine";
  readonly dash: readonly number[];
}

const STYLES: readonly TraceStyle[] = [
  { ink: "line", dash: [] },
  { ink: "secondLine", dash: [] },
  { ink: "line", dash: [8, 4] },
  { ink: "secondLine", dash: [8, 4] },
  { ink: "line", dash: [2, 3] },
  { ink: "secondLine", dash: [2, 3] },
];
const PLAIN: TraceStyle = { ink: "line", dash: [] };

export function traceStyle(place: number): TraceStyle {
  return STYLES[place % STYLES.length] ?? PLAIN;
}

export function traceInk(place: number, inks: Inks): string {
  return inks[traceStyle(place).ink];
}
