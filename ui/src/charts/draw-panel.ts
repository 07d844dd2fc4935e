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
import { type Inks, inksOf } from "./inks.js";
import { badStrip, happened, spreads } from "./over-time.js";
import { type PanelSpec, PLOT_LEFT_PX, PLOT_RIGHT_PX, TIMES_PX } from "./panel-spec.js";
import { setRange } from "./set-range.js";
import { traceInk, traceStyle } from "./traces.js";

Chart.register(LinearScale, LineController, LineElement, PointElement);

export interface PanelDrawing {
  update(spec: PanelSpec): void;
  destroy(): void;
}

const TOP_PX = 4;
/** Of a label, on the average. */
const LETTER_PX = 8;
const FONT = { family: "system-ui, sans-serif", size: 14 };
/** Where a day begins among times, or a year among months, the label stands out. */
const timeFont = ({ tick }: ScriptableScaleContext) => ({
  ...FONT,
  weight: tick?.major ? ("bold" as const) : ("normal" as const),
});
/** A state is drawn with air above "on" and below "off". */
const STATE_SPAN = [-0.2, 1.25] as const;

/** One Chart.js object for the whole life of a canvas; `update` gives it what to show, `destroy` takes it away. */
export function drawPanel(canvas: HTMLCanvasElement, first: PanelSpec): PanelDrawing {
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
      badStrip(latest),
    ] satisfies Plugin<"line">[],
    options: {
      animation: false,
      responsive: true,
      maintainAspectRatio: false,
      parsing: false,
      normalized: true,
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
            axis.ticks = spec.state
              ? [{ value: 0 }, { value: 1 }]
              : valueTicks(axis.min, axis.max, plotHeight(), spec.range);
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

  function put(): void {
    chart.data.datasets = spec.traces.map((trace, place) => datasetOf(trace, place, inks));
    const { x, y } = chart.options.scales ?? {};
    if (x) {
      x.min = spec.from;
      x.max = spec.to;
      x.ticks = { ...x.ticks, color: inks.words, display: spec.withTimes, font: timeFont };
      x.grid = { ...x.grid, color: inks.grid };
    }
    if (y) {
      const [least, most] = spec.state ? STATE_SPAN : valueSpan(shown(spec), spec.range, spec.decimals);
      y.min = least;
      y.max = most;
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
