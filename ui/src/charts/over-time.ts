import type { Chart, Plugin } from "chart.js";
import type { Bucket } from "../../../station/model/now.js";
import { widthOf } from "./bridged.js";
import type { Inks } from "./inks.js";
import type { PanelMarks, PanelSpec, Trace } from "./panel-spec.js";
import { spikesOf } from "./spikes.js";
import { traceInk } from "./traces.js";

interface Latest {
  readonly spec: PanelSpec;
  readonly inks: Inks;
}

/** A bucket that stands out by so many pixels is drawn in full ink. */
const SPIKE_PX = 5;
const SPIKE_WIDTH_PX = 1.5;
const BAD_STRIP_PX = 8;
const HATCH_APART_PX = 5;
const RUN_BAR_PX = 5;
/** So many lines over a chart would hide it: then marks are short. */
const MOST_LONG_MARKS = 30;
const SHORT_MARK_PX = 14;
/** Of the height at most. */
const SHORT_MARK_SHARE = 0.15;

/** Draws inside the plot only: what has been loaded may reach past what is shown. */
function inside(chart: Chart, draw: (ctx: CanvasRenderingContext2D) => void): void {
  const { ctx, chartArea } = chart;
  ctx.save();
  ctx.beginPath();
  ctx.rect(chartArea.left, chartArea.top, chartArea.width, chartArea.height);
  ctx.clip();
  draw(ctx);
  ctx.restore();
}

/** From least to greatest of each bucket as a column, so that nothing is lost between two pixels. */
export function spreads(latest: () => Latest): Plugin<"line"> {
  return {
    id: "spreads",
    beforeDatasetsDraw(chart) {
      const { spec, inks } = latest();
      const { x, y } = chart.scales;
      if (x === undefined || y === undefined) return;
      inside(chart, (ctx) => {
        spec.traces.forEach(({ buckets }, place) => {
          const wide = widthOf(buckets);
          const px = (t: number) => x.getPixelForValue(t);
          ctx.fillStyle = inks.spread;
          for (const { t, min, max } of buckets) {
            if (min === null || max === null || max === min) continue;
            const top = y.getPixelForValue(max);
            const width = Math.max(1, px(t + wide) - px(t));
            ctx.fillRect(px(t), top, width, Math.max(1, y.getPixelForValue(min) - top));
          }
          const pixel = Math.abs((y.getValueForPixel(0) ?? 0) - (y.getValueForPixel(1) ?? 0));
          ctx.fillStyle = traceInk(place, inks);
          for (const { t, base, tip } of spikesOf(buckets, pixel * SPIKE_PX)) {
            const [one, other] = [y.getPixelForValue(base), y.getPixelForValue(tip)];
            const middle = px(t + wide / 2);
            const top = Math.min(one, other);
            ctx.fillRect(middle - SPIKE_WIDTH_PX / 2, top, SPIKE_WIDTH_PX, Math.abs(one - other));
          }
        });
      });
    },
  };
}

/** Stretches of time with bad readings, of any trace, as first and last moment. */
export function badStretches(
  traces: readonly Pick<Trace, "buckets">[],
): readonly (readonly [number, number])[] {
  const stretches: [number, number][] = [];
  const bad = traces
    .flatMap(({ buckets }) => buckets.filter(isBad).map(({ t }) => [t, t + widthOf(buckets)] as const))
    .sort(([a], [b]) => a - b);
  for (const [from, to] of bad) {
    const newest = stretches.at(-1);
    if (newest !== undefined && from <= newest[1]) newest[1] = Math.max(newest[1], to);
    else stretches.push([from, to]);
  }
  return stretches;
}

function isBad({ bad = 0 }: Bucket): boolean {
  return bad > 0;
}

/** A hatched strip along the foot wherever there were bad readings. */
export function badStrip(
  latest: () => { readonly traces: readonly Pick<Trace, "buckets">[]; readonly inks: Inks },
): Plugin<"line"> {
  return {
    id: "bad-strip",
    afterDatasetsDraw(chart) {
      const { traces, inks } = latest();
      const { x } = chart.scales;
      if (x === undefined) return;
      const bottom = chart.chartArea.bottom;
      const top = bottom - BAD_STRIP_PX;
      inside(chart, (ctx) => {
        for (const [from, to] of badStretches(traces)) {
          const left = x.getPixelForValue(from);
          const width = Math.max(2, x.getPixelForValue(to) - left);
          ctx.save();
          ctx.beginPath();
          ctx.rect(left, top, width, BAD_STRIP_PX);
          ctx.fillStyle = inks.sheet;
          ctx.fill();
          ctx.strokeStyle = inks.title;
          ctx.lineWidth = 1;
          ctx.stroke();
          ctx.clip();
          ctx.beginPath();
          const begin = Math.floor(left / HATCH_APART_PX) * HATCH_APART_PX - BAD_STRIP_PX;
          for (
            let at = Math.max(begin, -BAD_STRIP_PX);
            at < Math.min(left + width, chart.width);
            at += HATCH_APART_PX
          ) {
            ctx.moveTo(at, bottom);
            ctx.lineTo(at + BAD_STRIP_PX, top);
          }
          ctx.stroke();
          ctx.restore();
        }
      });
    },
  };
}

/** Runs as bars along the head, alarms and maintenance as lines; behind the values, of which they must hide none. */
export function happened(latest: () => Latest): Plugin<"line"> {
  return {
    id: "happened",
    beforeDatasetsDraw(chart) {
      const { spec, inks } = latest();
      const { x } = chart.scales;
      if (x === undefined) return;
      const { top, bottom, right } = chart.chartArea;
      const { runs, alarms, maintenance } = spec.marks;
      const short = Math.min(SHORT_MARK_PX, SHORT_MARK_SHARE * (bottom - top));
      const foot = countOf(spec.marks) > MOST_LONG_MARKS ? top + short : bottom;
      inside(chart, (ctx) => {
        ctx.fillStyle = inks.words;
        for (const [from, to] of runs) {
          const left = x.getPixelForValue(from);
          ctx.fillRect(
            left,
            top,
            Math.max(2, (to === null ? right : x.getPixelForValue(to)) - left),
            RUN_BAR_PX,
          );
        }
        const line = (wall: number, ink: string, dash: number[]) => {
          const at = Math.round(x.getPixelForValue(wall)) + 0.5;
          ctx.strokeStyle = ink;
          ctx.setLineDash(dash);
          ctx.beginPath();
          ctx.moveTo(at, top);
          ctx.lineTo(at, foot);
          ctx.stroke();
        };
        ctx.lineWidth = 1.5;
        for (const { wall, priority } of alarms) line(wall, inks.priority[priority], [6, 3]);
        for (const wall of maintenance) line(wall, inks.words, [2, 3]);
      });
    },
  };
}

function countOf({ alarms, maintenance }: PanelMarks): number {
  return alarms.length + maintenance.length;
}
