import type { RefObject } from "preact";
import { useEffect, useRef } from "preact/hooks";
import { forcedColours, themeInForce } from "../shell/theme.js";

/** What is drawn on one canvas for its whole life; `update` gives it something new to show, `destroy` takes it away. */
export interface Drawing<S> {
  update(spec: S): void;
  destroy(): void;
}

/**
 * A canvas that is drawn on as soon as what draws has been loaded, and again when one of `shown` or the theme changes.
 * @param shown what the drawing depends on
 */
export function useDrawing<S>(
  draw: Promise<(canvas: HTMLCanvasElement, first: S) => Drawing<S>>,
  spec: S,
  shown: readonly unknown[],
): RefObject<HTMLCanvasElement | null> {
  const canvas = useRef<HTMLCanvasElement>(null);
  const drawn = useRef<Drawing<S> | null>(null);
  const latest = useRef(spec);
  latest.current = spec;
  useEffect(() => {
    let here = true;
    draw.then(
      (begin) => {
        if (here && canvas.current) drawn.current = begin(canvas.current, latest.current);
      },
      () => undefined,
    );
    return () => {
      here = false;
      drawn.current?.destroy();
      drawn.current = null;
    };
  }, []);
  useEffect(() => {
    drawn.current?.update(latest.current);
  }, [...shown, themeInForce.value, forcedColours.value]);
  return canvas;
}
