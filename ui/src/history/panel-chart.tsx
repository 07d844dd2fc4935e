import type { Range } from "../charts/axis.js";
import { useDrawing } from "../charts/drawing.js";
import { NO_TRACE, type PanelMarks, type PanelSpec, type Trace } from "../charts/panel-spec.js";
import { traceStyle } from "../charts/traces.js";
import { shownDecimals, stateWord, unitLabel, withUnit } from "../words/number.js";
import { spanText } from "../words/time.js";
import type { Panel } from "./panels.js";
import { readOff } from "./reading-off.js";
import type { Span } from "./span.js";

const draw = import("../charts/draw-panel.js").then(({ drawPanel }) => drawPanel);

interface Props {
  readonly panel: Panel;
  readonly span: Span;
  /** In the order of the panel's channels. */
  readonly traces: readonly Trace[];
  readonly marks: PanelMarks;
  readonly range: Range | null;
  readonly withTimes: boolean;
  /** The moment that is pointed at, wall milliseconds; null for none. */
  readonly moment: number | null;
}

/** Least and greatest of what is shown, in words; null where there is no value. */
function extremes({ buckets }: Trace, { from, to }: Span): readonly [number, number] | null {
  let least: number | null = null;
  let most: number | null = null;
  for (const { t, min, max } of buckets) {
    if (t < from || t >= to || min === null || max === null) continue;
    least = least === null ? min : Math.min(least, min);
    most = most === null ? max : Math.max(most, max);
  }
  return least === null || most === null ? null : [least, most];
}

function between(panel: Panel, place: number, trace: Trace, span: Span): string {
  const channel = panel.channels[place];
  const found = extremes(trace, span);
  if (channel === undefined || found === null) return "no reading in this span";
  const [least, most] = found;
  if (!panel.state) {
    const text = (value: number) => withUnit(value, shownDecimals(panel.unit, channel.decimals), panel.unit);
    const [low, high] = [text(least), text(most)];
    return low === high ? low : `${low} to ${high}`;
  }
  const words = (value: number) => stateWord(channel.kind, value);
  return least === most ? `always ${words(least)}` : `${words(0)} below, ${words(1)} above`;
}

/** The line of a channel as it is drawn. */
function Sample({ place }: { place: number }) {
  const { ink, dash } = traceStyle(place);
  return (
    <svg class={`trace-sample trace-${ink}`} viewBox="0 0 30 10" aria-hidden="true">
      <line x1="0" y1="5" x2="30" y2="5" stroke-dasharray={dash.join(" ")} />
    </svg>
  );
}

/** One chart, and over it which line is which, with the least and the greatest of each, or what it was when pointed at. */
export function PanelChart({ panel, span, traces, marks, range, withTimes, moment }: Props) {
  const decimals = Math.max(...panel.channels.map((each) => each.decimals));
  const spec: PanelSpec = { ...span, traces, decimals, state: panel.state, range, marks, withTimes };
  const canvas = useDrawing(draw, spec, [
    span.from,
    span.to,
    traces,
    marks,
    range?.low,
    range?.high,
    withTimes,
  ]);
  const legend = panel.channels.map((channel, place) => ({
    name: channel.name,
    between: between(panel, place, traces[place] ?? NO_TRACE, span),
  }));
  const words = legend.map((each) => `${each.name}: ${each.between}`).join("; ");
  return (
    <figure
      class={`panel${panel.state ? " panel-state" : ""}${withTimes ? " panel-last" : ""}`}
      data-testid={`panel-${panel.key.replaceAll(/\W+/g, "-")}`}
    >
      <figcaption>
        {legend.map((each, place) => (
          <span class="panel-trace" key={panel.channels[place]?.id}>
            {legend.length > 1 && <Sample place={place} />}
            <strong>{each.name}</strong>{" "}
            {moment === null ? (
              <span class="soft">{each.between}</span>
            ) : (
              <span>{readOff(panel, place, traces[place] ?? NO_TRACE, moment)}</span>
            )}
          </span>
        ))}
      </figcaption>
      <div class="chart">
        <canvas
          ref={canvas}
          role="img"
          aria-label={`${words}. ${unitLabel(panel.unit)} ${spanText(span.from, span.to)}`}
        />
      </div>
    </figure>
  );
}
