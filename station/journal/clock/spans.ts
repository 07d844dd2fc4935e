import { type ClockState, SAME_CLOCK_MS } from "../../model/instant.js";
import type { Columns } from "../columns.js";

/** What is known of a boot's wall clock at a moment: a start of the station, or a step. */
export interface ClockEvent {
  readonly mono: number;
  /** Wall less monotonic time from then on, milliseconds. */
  readonly ahead: number;
  /** How it was until then; null where that is not told, and it was as the event before left it. */
  readonly before: ClockState | null;
  readonly after: ClockState;
}

/** A part of a boot from before the clock was set: wall time there is monotonic time plus `ahead`. `toMono` is not in it. */
export interface PlacedSpan {
  readonly fromMono: number;
  readonly toMono: number;
  readonly ahead: number;
}

/**
 * The parts of one boot in which the clock was not known to be set, each placed by the moment at which it came to be. What is
 * not followed by such a moment stays where the clock said.
 * @param events of one boot, in the order of monotonic time
 */
export function spansToPlace(events: readonly ClockEvent[]): PlacedSpan[] {
  const spans: PlacedSpan[] = [];
  let last: ClockEvent | null = null;
  let fromMono: number | null = null;
  for (const event of events) {
    const until = event.before ?? last?.after ?? event.after;
    if (until === "synchronised") fromMono = null;
    else fromMono ??= last?.mono ?? Number.MIN_SAFE_INTEGER;
    if (event.after !== "synchronised") fromMono ??= event.mono;
    else if (fromMono !== null) {
      if (event.mono > fromMono) spans.push({ fromMono, toMono: event.mono, ahead: event.ahead });
      fromMono = null;
    }
    last = event;
  }
  return spans;
}

/** The true wall time of a moment of the boot; null where no span knows it. */
export function placedWall(spans: readonly PlacedSpan[], mono: number): number | null {
  const span = spans.find(({ fromMono, toMono }) => mono >= fromMono && mono < toMono);
  return span === undefined ? null : mono + span.ahead;
}

/**
 * Readings that come late, from before the clock was set, are placed as they come. Those of a clock that was right stay as they
 * are, to the millisecond, as the placer leaves them: they come out of a journal as they went into it.
 */
export function placedColumns(spans: readonly PlacedSpan[], columns: Columns): Columns {
  const latest = Math.max(Number.NEGATIVE_INFINITY, ...spans.map(({ toMono }) => toMono));
  let late = false;
  for (let i = 0; i < columns.count && !late; i++) late = (columns.mono[i] as number) < latest;
  if (!late) return columns;
  const wall = columns.wall.map((was, i) => {
    const placed = placedWall(spans, columns.mono[i] as number);
    return placed === null || Math.abs(was - placed) <= SAME_CLOCK_MS ? was : placed;
  });
  return { ...columns, wall };
}
