import { useEffect } from "preact/hooks";
import { now } from "../link/live.js";
import { endingAt, isOff, type Span } from "./span.js";

/** Moves a span that ends now on with the time. */
export function useFollowing(
  following: boolean,
  span: Span,
  widthPx: number,
  show: (span: Span, following: boolean) => void,
): void {
  const length = span.to - span.from;
  const wall = now.value?.wall ?? span.to;
  const due = following && isOff(span, wall, widthPx);
  useEffect(() => {
    if (due) show(endingAt(wall, length), true);
  }, [due]);
}
