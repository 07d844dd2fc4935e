import type { Priority } from "../../../station/model/alarm.js";

interface Note {
  /** Seconds from the start of the pattern. */
  readonly at: number;
  readonly hertz: number;
  readonly seconds: number;
}

export interface Pattern {
  readonly notes: readonly Note[];
  /** Seconds from one start of the pattern to the next. */
  readonly everyS: number;
  readonly inWords: string;
}

function notes(hertz: readonly number[], step: number, seconds: number, from = 0): Note[] {
  return hertz.map((hz, i) => ({ at: from + i * step, hertz: hz, seconds }));
}

/** The more serious, the faster, the higher and the more often: told apart by ear without looking, over a running fan. */
export const PATTERNS: Readonly<Record<Priority, Pattern>> = {
  urgent: {
    notes: [...notes([990, 990, 990], 0.15, 0.1), ...notes([660, 660, 660], 0.15, 0.1, 0.6)],
    everyS: 1.5,
    inWords: "three quick high notes and three lower ones, without a break",
  },
  high: {
    notes: notes([588, 740, 880], 0.22, 0.18),
    everyS: 3,
    inWords: "three rising notes every three seconds",
  },
  medium: {
    notes: notes([588, 440], 0.32, 0.26),
    everyS: 7,
    inWords: "two falling notes every seven seconds",
  },
  low: {
    notes: notes([392], 0, 0.35),
    everyS: 30,
    inWords: "one soft note every half minute",
  },
};
