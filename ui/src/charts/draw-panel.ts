/** One panel over time; loaded, with all that knows Chart.js, apart from the rest. */
import {
  Chart,
  type ChartDataset,
  LinearScale,
  LineController,
  LineElement,
  type Plugin,
  PointElement,
  type ScriptableScaleContext,
} from "chart.js";
import type { Bucket } from "../../../station/model/now.js";
import { numberText } from "../words/number.js";
import { placesOf, valueSpan, valueTicks } from "./axis.js";
import { meanPoints, type Point, widthOf } from "./bridged.js";
import { calendarTicks, type TimeTick } from "./calendar.js";
import { drawingOn, FONT, STILL, setAxis } from "./canvas-chart.js";
import type { Drawing } from "./drawing.js";
import { type Inks, inksOf } from "./inks.js";
import { badStrip, happened, spreads } from "./over-time.js";
import { type PanelSpec, PLOT_LEFT_PX, PLOT_RIGHT_PX, TIMES_PX } from "./panel-spec.js";
import { setRange } from "./set-range.js";
import { traceInk, traceStyle } from "./traces.js";

Chart.register(LinearScale, LineController, LineElement, PointElement);

const TOP_PX = 4;
/** Of a label, on the average. */
const LETTER_PX = 8;
/** Where a day begins among times, or a year among months, the label stands out. */
const timeFont = ({ tick }: ScriptableScaleContext) => ({
  ...FONT,
  weight: tick?.major ? ("bold" as const) : ("normal" as const),
});
/** A state is drawn with air above "on" and below "off". */
const STATE_SPAN = [-0.2, 1.25] as const;

export function drawPanel(canvas: HTMLCanvasElement, first: PanelSpec): Drawing<PanelSpec> {
  let spec = first;
  let inks = inksOf(canvas);
  let labels = new Map<number, string>();
  const plotWidth = () => Math.max(1, canvas.clientWidth - PLOT_LEFT_PX - PLOT_RIGHT_PX);
  const fits = ({ value, label }: TimeTick) => {
    const px = ((value - spec.from) / (spec.to - spec.from)) * plotWidth();
    return px + (label.length * LETTER_PX) / 2 <= plotWidth() + PLOT_RIGHT_PX;
  };
  const plotHeight = () => Math.max(1, canvas.clientHeight - TOP_PX - footPx());
  const footPx = () => (spec.withTimes ? TIMES_PX : 4);
  const latest = () => ({ spec, inks, range: spec.range });

  const chart = new Chart<"line", Point[]>(canvas, {
    type: "line",
    data: { datasets: [] },
    plugins: [
      setRange(latest),
      spreads(latest),
      happened(latest),
      badStrip(() => ({ traces: spec.traces, inks })),
    ] satisfies Plugin<"line">[],
    options: {
      ...STILL,
      events: [],
      layout: { autoPadding: false, padding: { right: PLOT_RIGHT_PX, top: TOP_PX } },
      scales: {
        x: {
          type: "linear",
          border: { display: false },
          afterBuildTicks: (axis) => {
            const ticks = calendarTicks(axis.min, axis.max, plotWidth());
            labels = new Map(ticks.filter(fits).map(({ value, label }) => [value, label]));
            axis.ticks = ticks.map(({ value, major }) => ({ value, major }));
          },
          afterFit: (axis) => {
            axis.height = footPx();
            // A label that reaches past the edge must not make this drawing narrower than those above it.
            axis.paddingLeft = 0;
            axis.paddingRight = 0;
          },
          ticks: {
            autoSkip: false,
            maxRotation: 0,
            callback: (value) => labels.get(Number(value)) ?? "",
          },
          grid: { drawTicks: false },
        },
        y: {
          type: "linear",
          border: { display: false },
          afterBuildTicks: (axis) => {
            if (spec.state) axis.ticks = [{ value: 0 }, { value: 1 }];
            // Numbers beside nothing would look like a measurement.
            else if (isBare(spec)) axis.ticks = [];
            else axis.ticks = valueTicks(axis.min, axis.max, plotHeight(), spec.range);
          },
          afterFit: (axis) => {
            axis.width = PLOT_LEFT_PX;
          },
          ticks: {
            autoSkip: false,
            font: FONT,
            callback: (value, _, ticks) => (spec.state ? "" : numberText(Number(value), placesOf(ticks))),
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
      chart.data.datasets = spec.traces.map((trace, place) => datasetOf(trace, place, inks));
      const { x, y } = chart.options.scales ?? {};
      const values = spec.state ? STATE_SPAN : valueSpan(shown(spec), spec.range, spec.decimals);
      setAxis(x, [spec.from, spec.to], inks, { display: spec.withTimes, font: timeFont });
      setAxis(y, values, inks);
    },
    first,
  );
}

/** Whether there is neither a value nor a range to be drawn. */
function isBare(spec: PanelSpec): boolean {
  return spec.range === null && shown(spec).every(({ mean }) => mean === null);
}

/** Only what lies in the span decides how high the axis reaches. */
function shown({ traces, from, to }: PanelSpec): readonly Bucket[] {
  return traces.flatMap(({ buckets }) => {
    const width = widthOf(buckets);
    return buckets.filter(({ t }) => t + width > from && t < to);
  });
}

function datasetOf(
  { buckets, staleAfterMs }: PanelSpec["traces"][number],
  place: number,
  inks: Inks,
): ChartDataset<"line", Point[]> {
  const ink = traceInk(place, inks);
  const points = meanPoints(buckets, staleAfterMs);
  return {
    data: points,
    borderColor: ink,
    backgroundColor: ink,
    borderWidth: 2,
    borderDash: [...traceStyle(place).dash],
    pointHitRadius: 0,
    // A value with a gap on either side has no line to be seen by.
    pointRadius: ({ dataIndex: i }) => (points[i - 1]?.y == null && points[i + 1]?.y == null ? 2.5 : 0),
    spanGaps: false,
  };
}
