import type { Chart, ScaleOptionsByType } from "chart.js";
import type { Drawing } from "./drawing.js";
import { type Inks, inksOf } from "./inks.js";

export const FONT = { family: "system-ui, sans-serif", size: 14 };

/** What every chart of these pages has in common: it stands still, and is given points that are in order already. */
export const STILL = {
  animation: false,
  responsive: true,
  maintainAspectRatio: false,
  parsing: false,
  normalized: true,
} as const;

type LinearAxis = ScaleOptionsByType<"linear">;

/** Ends and colours of an axis. */
export function setAxis(
  axis: { min?: unknown; max?: unknown; ticks?: unknown; grid?: unknown } | undefined,
  [min, max]: readonly [number, number],
  inks: Inks,
  ticks: { readonly [K in keyof LinearAxis["ticks"]]?: LinearAxis["ticks"][K] } = {},
): void {
  if (axis === undefined) return;
  axis.min = min;
  axis.max = max;
  axis.ticks = { ...(axis.ticks as object), color: inks.words, ...ticks };
  axis.grid = { ...(axis.grid as object), color: inks.grid };
}

/**
 * The life of one Chart.js object on its canvas.
 * @param put gives the chart what to show, in the colours in force
 */
export function drawingOn<S>(chart: Chart<"line">, put: (spec: S, inks: Inks) => void, first: S): Drawing<S> {
  const update = (spec: S) => {
    put(spec, inksOf(chart.canvas));
    chart.update("none");
  };
  update(first);
  return { update, destroy: () => chart.destroy() };
}
