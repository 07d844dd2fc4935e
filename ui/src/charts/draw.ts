/** Loaded, with all that knows Chart.js, apart from the rest, so that the page stands before the drawing does. */
import {
  Chart,
  type ChartDataset,
  Filler,
  LinearScale,
  LineController,
  LineElement,
  PointElement,
} from "chart.js";
import type { Bucket } from "../../../station/model/now.js";
import { numberText } from "../words/number.js";
import { hourAndMinute, timeOfDay } from "../words/time.js";
import { placesOf, type Range, timeTicks, valueSpan, valueTicks } from "./axis.js";
import { drawingOn, FONT, STILL, setAxis } from "./canvas-chart.js";
import type { Drawing } from "./drawing.js";
import { inksOf } from "./inks.js";
import { badStrip } from "./over-time.js";
import { setRange } from "./set-range.js";

Chart.register(Filler, LinearScale, LineController, LineElement, PointElement);

export interface LineSpec {
  readonly buckets: readonly Bucket[];
  /** Wall milliseconds at the left and right edge. */
  readonly from: number;
  readonly to: number;
  /** Set range, drawn as a band; null for none. */
  readonly range: Range | null;
  readonly decimals: number;
}

interface Point {
  x: number;
  y: number | null;
}

/** Room the times take below the drawing, and the numbers beside it. */
const TIME_ROW_PX = 24;
const NUMBERS_PX = 34;
const MOST_TIMES = 6;

/** One line over some minutes. */
export function drawLine(canvas: HTMLCanvasElement, first: LineSpec): Drawing<LineSpec> {
  let spec = first;
  let inks = inksOf(canvas);

  const points = (of: "min" | "mean" | "max"): Point[] => spec.buckets.map((b) => ({ x: b.t, y: b[of] }));
  const inSeconds = () => spec.to - spec.from < 120_000;
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

  const band = setRange(() => ({ range: spec.range, inks }));
  const bad = badStrip(() => ({ traces: [spec], inks }));

  const chart = new Chart<"line", Point[]>(canvas, {
    type: "line",
    data: { datasets },
    plugins: [band, bad],
    options: {
      ...STILL,
      events: [],
      layout: { padding: { right: 4, top: 2 } },
      scales: {
        x: {
          type: "linear",
          border: { display: false },
          afterBuildTicks: (axis) => {
            const labelPx = inSeconds() ? 92 : 66;
            const most = Math.min(MOST_TIMES, Math.floor(axis.maxWidth / labelPx));
            axis.ticks = timeTicks(axis.min, axis.max, Math.max(2, most));
          },
          ticks: {
            autoSkip: false,
            maxRotation: 0,
            font: FONT,
            callback: (value) => (inSeconds() ? timeOfDay : hourAndMinute)(Number(value)),
          },
          grid: { drawTicks: false },
        },
        y: {
          type: "linear",
          border: { display: false },
          afterBuildTicks: (axis) => {
            axis.ticks = valueTicks(axis.min, axis.max, axis.maxHeight - TIME_ROW_PX, spec.range);
          },
          // Charts that stand over each other keep their edges in line, whatever their numbers.
          afterFit: (axis) => {
            axis.width = Math.max(axis.width, NUMBERS_PX);
          },
          ticks: {
            autoSkip: false,
            font: FONT,
            callback: (value, _, ticks) => numberText(Number(value), placesOf(ticks)),
          },
          grid: { drawTicks: false },
        },
      },
    },
  });

  return drawingOn(
    chart,
    (next, nextInks) => {
      spec = next;
      inks = nextInks;
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
      setAxis(options.scales?.x, [spec.from, spec.to], inks);
      setAxis(options.scales?.y, valueSpan(spec.buckets, spec.range, spec.decimals), inks);
    },
    first,
  );
}
