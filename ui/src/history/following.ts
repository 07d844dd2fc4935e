import { useEffect } from "preact/hooks";
import { now } from "../link/live.js";
import { endingAt, type Span } from "./span.js";

/** Asked for no more often, however short the span. */
const LEAST_STEP_MS = 5000;

/** Moves a span that ends now on with the time, by a pixel or more at once. */
export function useFollowing(
  following: boolean,
  span: Span,
  widthPx: number,
  show: (span: Span, following: boolean) => void,
): void {
  const length = span.to - span.from;
  const step = Math.max(LEAST_STEP_MS, length / Math.max(1, widthPx));
  const wall = now.value?.wall ?? span.to;
  const due = following && wall - span.to >= step;
  useEffect(() => {
    if (due) show(endingAt(wall, length), true);
  }, [due]);
}
