/** The only file that knows Chart.js: loaded apart from the rest, so that the page stands before the drawing does. */
import {
  Chart,
  type ChartDataset,
  Filler,
  LinearScale,
  LineController,
  LineElement,
  type Plugin,
  PointElement,
} from "chart.js";
import type { Bucket } from "../../../station/model/now.js";
import { numberText } from "../words/number.js";
import { hourAndMinute, timeOfDay } from "../words/time.js";

Chart.register(Filler, LinearScale, LineController, LineElement, PointElement);

export interface LineSpec {
  readonly buckets: readonly Bucket[];
  /** Wall milliseconds at the left and right edge. */
  readonly from: number;
  readonly to: number;
  /** Set range, drawn as a band; null for none. */
  readonly range: { readonly low: number; readonly high: number } | null;
  readonly decimals: number;
}

export interface Drawing {
  update(spec: LineSpec): void;
  destroy(): void;
}

interface Point {
  x: number;
  y: number | null;
}

const STEPS_S = [1, 2, 5, 10, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 14400, 21600, 43200, 86400];

/** Whole seconds, minutes or hours, about `most` of them over the span. */
function timeTicks(from: number, to: number, most: number): { value: number }[] {
  const spanS = (to - from) / 1000;
  const step = (STEPS_S.find((s) => spanS / s <= most) ?? 86_400) * 1000;
  const ticks = [];
  for (let t = Math.ceil(from / step) * step; t <= to; t += step) ticks.push({ value: t });
  return ticks;
}

interface Inks {
  readonly line: string;
  readonly spread: string;
  readonly band: string;
  readonly bandEdge: string;
  readonly grid: string;
  readonly words: string;
}

function inksOf(element: Element): Inks {
  const style = getComputedStyle(element);
  const ink = (name: string) => style.getPropertyValue(name).trim();
  return {
    line: ink("--chart-line"),
    spread: ink("--chart-spread"),
    band: ink("--chart-band"),
    bandEdge: ink("--chart-band-edge"),
    grid: ink("--chart-grid"),
    words: ink("--ink-2"),
  };
}

const FONT = { family: "system-ui, sans-serif", size: 14 };

/** One Chart.js object for the whole life of a canvas; `update` gives it new points, `destroy` takes it away. */
export function drawLine(canvas: HTMLCanvasElement, first: LineSpec): Drawing {
  let spec = first;
  let inks = inksOf(canvas);

  const points = (of: "min" | "mean" | "max"): Point[] => spec.buckets.map((b) => ({ x: b.t, y: b[of] }));
  const alone = (i: number) => spec.buckets[i - 1]?.mean == null && spec.buckets[i + 1]?.mean == null;

  const bare = { borderWidth: 0, pointRadius: 0, pointHitRadius: 0, spanGaps: false } as const;
  const datasets: ChartDataset<"line", Point[]>[] = [
    { ...bare, data: points("max"), fill: "+1" },
    { ...bare, data: points("min") },
    {
      ...bare,
      data: points("mean"),
      borderWidth: 2,
      // A value with a gap on either side has no line to be seen by.
      pointRadius: ({ dataIndex }) => (alone(dataIndex) ? 2.5 : 0),
    },
  ];

  const band: Plugin<"line"> = {
    id: "set-range",
    beforeDatasetsDraw({ ctx, chartArea, scales }) {
      const y = scales.y;
      if (spec.range === null || y === undefined) return;
      const clamp = (v: number) => Math.min(chartArea.bottom, Math.max(chartArea.top, y.getPixelForValue(v)));
      const top = clamp(spec.range.high);
      const bottom = clamp(spec.range.low);
      ctx.save();
      ctx.fillStyle = inks.band;
      ctx.fillRect(chartArea.left, top, chartArea.width, bottom - top);
      ctx.strokeStyle = inks.bandEdge;
      ctx.setLineDash([5, 4]);
      for (const edge of [top, bottom]) {
        if (edge <= chartArea.top || edge >= chartArea.bottom) continue;
        ctx.beginPath();
        ctx.moveTo(chartArea.left, edge);
        ctx.lineTo(chartArea.right, edge);
        ctx.stroke();
      }
      ctx.restore();
    },
  };

  const chart = new Chart<"line", Point[]>(canvas, {
    type: "line",
    data: { datasets },
    plugins: [band],
    options: {
      animation: false,
      responsive: true,
      maintainAspectRatio: false,
      parsing: false,
      normalized: true,
      events: [],
      layout: { padding: { right: 4, top: 2 } },
      scales: {
        x: {
          type: "linear",
          border: { display: false },
          afterBuildTicks: (axis) => {
            axis.ticks = timeTicks(axis.min, axis.max, axis.width < 420 ? 4 : 6);
          },
          ticks: {
            autoSkip: false,
            maxRotation: 0,
            font: FONT,
            callback: (value) => (spec.to - spec.from < 120_000 ? timeOfDay : hourAndMinute)(Number(value)),
          },
          grid: { drawTicks: false },
        },
        y: {
          type: "linear",
          border: { display: false },
          ticks: {
            maxTicksLimit: 5,
            font: FONT,
            callback: (value) => numberText(Number(value), Number.isInteger(Number(value)) ? 0 : 1),
          },
          grid: { drawTicks: false },
        },
      },
    },
  });

  function put(): void {
    const { data, options } = chart;
    (["max", "min", "mean"] as const).forEach((of, i) => {
      const set = data.datasets[i];
      if (set) set.data = points(of);
    });
    const [upper, lower, mean] = data.datasets;
    if (upper) upper.backgroundColor = inks.spread;
    if (lower) lower.backgroundColor = "transparent";
    if (mean) {
      mean.borderColor = inks.line;
      mean.backgroundColor = inks.line;
    }
    const { x, y } = options.scales ?? {};
    if (x) {
      x.min = spec.from;
      x.max = spec.to;
      x.ticks = { ...x.ticks, color: inks.words };
      x.grid = { ...x.grid, color: inks.grid };
    }
    if (y) {
      const step = 10 ** -Math.min(1, spec.decimals);
      const [least, most] = extent(spec);
      y.suggestedMin = least - step;
      y.suggestedMax = most + step;
      y.ticks = { ...y.ticks, color: inks.words };
      y.grid = { ...y.grid, color: inks.grid };
    }
    chart.update("none");
  }

  put();
  return {
    update(next) {
      spec = next;
      inks = inksOf(canvas);
      put();
    },
    destroy: () => chart.destroy(),
  };
}

/** Smallest and largest thing to be seen, range included; 0 and 1 where there is nothing. */
function extent({ buckets, range }: LineSpec): [number, number] {
  let least = range?.low ?? Number.POSITIVE_INFINITY;
  let most = range?.high ?? Number.NEGATIVE_INFINITY;
  for (const { min, max } of buckets) {
    if (min !== null) least = Math.min(least, min);
    if (max !== null) most = Math.max(most, max);
  }
  return least <= most ? [least, most] : [0, 1];
}
