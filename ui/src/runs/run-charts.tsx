import { CHANNEL_KINDS, type ChannelKind } from "../../../station/model/quantity.js";
import type { Run } from "../../../station/model/run.js";
import { LineChart } from "../charts/line-chart.js";
import { ask } from "../link/ask.js";
import { useAsked } from "../link/asked.js";
import { now, start } from "../link/live.js";
import { RefusalText } from "../marks/refusal.js";
import { decimalsOf, unitLabel } from "../words/number.js";

/** As many as a chart can show apart. */
const MOST_BUCKETS = 240;
const FEWEST_BUCKETS = 4;
/** For a run that is still open, and so has no count of readings: a width that most sensors fill. */
const OPEN_BUCKET_MS = 10_000;

/** Fewer buckets than there were readings, so that none stands empty between two readings and looks like a gap. */
function bucketsFor(run: Run, channel: string): number {
  const readings = run.stamp?.channels[channel]?.readings;
  const filled = readings === undefined ? (now.value?.runOpenMs ?? 0) / OPEN_BUCKET_MS : readings / 1.5;
  return Math.floor(Math.min(MOST_BUCKETS, Math.max(FEWEST_BUCKETS, filled)));
}

interface Charted {
  readonly id: string;
  readonly name: string;
  readonly kind: ChannelKind;
}

function chartedOf(run: Run): readonly Charted[] {
  const all: readonly Charted[] = run.stamp
    ? Object.entries(run.stamp.channels).map(([id, { name, kind }]) => ({ id, name, kind }))
    : (now.value?.channels ?? []);
  return all.filter(({ kind }) => CHANNEL_KINDS[kind].form === "analogue");
}

function RunChart({ run, channel }: { run: Run; channel: Charted }) {
  const { answer, refusal, again } = useAsked(`${start.value} ${run.id} ${run.endWall} ${channel.id}`, () =>
    ask.runSeries(run.id, channel.id, bucketsFor(run, channel.id)),
  );
  const range =
    channel.kind === "coolant-inlet" ? (run.stamp?.coolantRange ?? now.value?.coolant ?? null) : null;
  return (
    <figure class="run-chart" data-testid={`chart-${channel.id}`}>
      <figcaption>
        {channel.name} <span class="soft">{unitLabel(CHANNEL_KINDS[channel.kind].unit)}</span>
      </figcaption>
      <RefusalText refusal={refusal} again={again} />
      {answer && (
        <LineChart
          name={channel.name}
          unit={answer.unit}
          decimals={decimalsOf(answer.unit)}
          buckets={answer.buckets}
          from={answer.from}
          to={answer.to}
          range={range}
        />
      )}
    </figure>
  );
}

/** The window of the run, channel by channel. */
export function RunCharts({ run }: { run: Run }) {
  const channels = chartedOf(run);
  if (channels.length === 0) return null;
  return (
    <section class="card" aria-labelledby="charts-title">
      <h2 id="charts-title">Over the run</h2>
      <p class="soft">
        The line is the mean, the shade from least to greatest. The band is the set range of the coolant. A
        hatched strip: bad readings.
      </p>
      <div class="run-charts">
        {channels.map((channel) => (
          <RunChart key={channel.id} run={run} channel={channel} />
        ))}
      </div>
    </section>
  );
}
