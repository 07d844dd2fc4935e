/** The span of time that is shown, and how it is moved and zoomed. Wall milliseconds throughout. */
export interface Span {
  readonly from: number;
  readonly to: number;
}

const MINUTE = 60_000;
const HOUR = 60 * MINUTE;
const DAY = 24 * HOUR;
const YEAR = 365.25 * DAY;

export const SHORTEST_MS = MINUTE;
export const LONGEST_MS = 10 * YEAR;

export type PresetId = "10min" | "hour" | "day" | "week" | "month" | "year";

export const PRESETS: readonly { readonly id: PresetId; readonly words: string; readonly ms: number }[] = [
  { id: "10min", words: "10 min", ms: 10 * MINUTE },
  { id: "hour", words: "Hour", ms: HOUR },
  { id: "day", words: "Day", ms: DAY },
  { id: "week", words: "Week", ms: 7 * DAY },
  { id: "month", words: "Month", ms: 30 * DAY },
  { id: "year", words: "Year", ms: YEAR },
];

/** The preset this span is as long as, to the second; null for any other length. */
export function presetOf({ from, to }: Span): PresetId | null {
  return PRESETS.find(({ ms }) => Math.abs(to - from - ms) < 1000)?.id ?? null;
}

/** The span in whole milliseconds, a minute to ten years long, about the same middle, and not before 1970. */
export function clamped({ from, to }: Span): Span {
  const length = Math.min(LONGEST_MS, Math.max(SHORTEST_MS, to - from));
  const begin = Math.max(0, Math.round((from + to - length) / 2));
  return { from: begin, to: begin + Math.round(length) };
}

/**
 * Shorter (`factor` below 1) or longer, with the moment that lies at `share` of the width held where it is.
 * @param share 0 for the left edge, 1 for the right
 */
export function zoomed({ from, to }: Span, factor: number, share = 0.5): Span {
  const length = Math.min(LONGEST_MS, Math.max(SHORTEST_MS, (to - from) * factor));
  const held = from + (to - from) * share;
  return clamped({ from: held - length * share, to: held + length * (1 - share) });
}

/** @param share of its own length by which the span moves on, below 0 for back */
export function moved({ from, to }: Span, share: number): Span {
  const by = (to - from) * share;
  return clamped({ from: from + by, to: to + by });
}

/** The part between two shares of the width, whichever comes first. */
export function between({ from, to }: Span, one: number, other: number): Span {
  const at = (share: number) => from + (to - from) * Math.min(1, Math.max(0, share));
  return clamped({ from: at(Math.min(one, other)), to: at(Math.max(one, other)) });
}

export function endingAt(to: number, length: number): Span {
  return clamped({ from: to - length, to });
}

/** No span that ends now is asked for more often, however short it is. */
const LEAST_STEP_MS = 5000;

/** Whether a span that is to end now has to be moved: by a pixel or more, either way, for a clock may be set back. */
export function isOff(span: Span, wall: number, widthPx: number): boolean {
  const step = Math.max(LEAST_STEP_MS, (span.to - span.from) / Math.max(1, widthPx));
  return Math.abs(wall - span.to) >= step;
}

/**
 * All that a journal holds, with a little air on either side; the last day where it holds nothing. Of more than ten years,
 * which a clock that nobody had set makes of any journal, the last ten.
 */
export function allOf(held: { readonly from: number | null; readonly to: number | null }, now: number): Span {
  if (held.from === null || held.to === null) return endingAt(now, DAY);
  const from = Math.max(held.from, held.to - LONGEST_MS);
  const air = (held.to - from) * 0.01;
  return endingAt(held.to + air, held.to - from + 2 * air);
}

/**
 * Where two fingers were and are, as shares of the width: the moments under them stay under them.
 * Fingers on one spot only move the span.
 */
export function pinched(span: Span, was: readonly [number, number], is: readonly [number, number]): Span {
  const length = span.to - span.from;
  const spreadWas = was[1] - was[0];
  const spreadIs = is[1] - is[0];
  const factor = Math.abs(spreadIs) < 0.01 || Math.abs(spreadWas) < 0.01 ? 1 : spreadWas / spreadIs;
  const middleWas = span.from + (length * (was[0] + was[1])) / 2;
  const next = Math.min(LONGEST_MS, Math.max(SHORTEST_MS, length * Math.abs(factor)));
  const from = middleWas - (next * (is[0] + is[1])) / 2;
  return clamped({ from, to: from + next });
}
