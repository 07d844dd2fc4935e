import { useMemo, useRef, useState } from "preact/hooks";
import { NO_TRACE, PLOT_LEFT_PX, PLOT_RIGHT_PX, type Trace } from "../charts/panel-spec.js";
import { ask, type Refusal, refusalOf } from "../link/ask.js";
import { now } from "../link/live.js";
import { JournalDoubt } from "../marks/journal-doubt.js";
import { RefusalText } from "../marks/refusal.js";
import { usePageTitle } from "../shell/page-title.js";
import { momentText, spanText } from "../words/time.js";
import { ChannelChoice } from "./channel-choice.js";
import { useFollowing } from "./following.js";
import { useGestures } from "./gestures.js";
import { happeningsOf, panelMarks } from "./happenings.js";
import { useLoaded } from "./loaded.js";
import { MarkLane } from "./mark-lane.js";
import { PanelChart } from "./panel-chart.js";
import { type Charted, panelsOf } from "./panels.js";
import { Save } from "./save.js";
import { allOf, endingAt, PRESETS, type PresetId, type Span, zoomed } from "./span.js";
import { Toolbar } from "./toolbar.js";
import { useView } from "./view.js";
import { useWidth } from "./width.js";

const NOTES = [
  "The line is the mean, the shade from least to greatest. The band is the set range of the coolant.",
  "Bars along the top are runs, dashed lines alarms, dotted lines maintenance or a clock that was set. A hatched strip: bad readings.",
];

const THINNED =
  "Older readings were thinned by the rule of keeping in station.yaml: where they went, their minutes are drawn.";

/** A line down the charts, with its time at the foot. */
function MomentLine({ share, words }: { share: number; words: string }) {
  return (
    <div class="history-moment" style={{ left: `${share * 100}%` }} data-testid="moment">
      <span style={{ translate: `${-share * 100}%` }}>{words}</span>
    </div>
  );
}

function Charts({ all }: { all: readonly Charted[] }) {
  const { span, following, channels, show, choose } = useView(all);
  const stage = useRef<HTMLDivElement>(null);
  const stageWidth = useWidth(stage);
  const widthPx = Math.max(0, stageWidth - PLOT_LEFT_PX - PLOT_RIGHT_PX);
  const loaded = useLoaded(channels, span, widthPx);
  const [spanRefusal, setSpanRefusal] = useState<Refusal | null>(null);
  const wall = () => now.value?.wall ?? Date.now();
  const length = span.to - span.from;

  const showAll = () => {
    setSpanRefusal(null);
    ask.span().then(
      (held) => show(allOf(held, wall())),
      (reason: unknown) => setSpanRefusal(refusalOf(reason)),
    );
  };
  const showLatest = () => show(endingAt(wall(), length), true);
  const showMarked = (marked: Span) => {
    show(marked);
    // The list in which it was pressed is gone.
    stage.current?.focus({ preventScroll: true });
  };
  const preset = (id: PresetId) => {
    const ms = PRESETS.find((each) => each.id === id)?.ms ?? length;
    // Whoever looks at now goes on looking at now; whoever looks at last summer stays there.
    if (following || span.to >= wall()) show(endingAt(wall(), ms), true);
    else show(zoomed(span, ms / length));
  };
  const { drawn, moment } = useGestures(stage, span, show, { all: showAll, latest: showLatest });
  useFollowing(following, span, widthPx, show);

  const chosen = channels.flatMap((id) => all.find((channel) => channel.id === id) ?? []);
  const panels = useMemo(() => panelsOf(chosen), [channels.join(), all]);
  const traces = useMemo(
    () =>
      new Map<string, Trace>(
        chosen.map(({ id, staleAfterMs }) => [
          id,
          { buckets: loaded.series.get(id)?.buckets ?? [], staleAfterMs },
        ]),
      ),
    [loaded.series, channels.join()],
  );
  const byPanel = useMemo(
    () => panels.map(({ channels: some }) => some.map(({ id }) => traces.get(id) ?? NO_TRACE)),
    [panels, traces],
  );
  const happenings = useMemo(() => (loaded.marks ? happeningsOf(loaded.marks) : []), [loaded.marks]);
  const marks = useMemo(() => panelMarks(happenings), [happenings]);
  const empty =
    !loaded.loading &&
    loaded.refusal === null &&
    [...traces.values()].every(({ buckets }) => buckets.every(({ mean }) => mean === null));
  const thinned = channels.some((id) => loaded.series.get(id)?.thinned === true);
  const coolant = now.value?.coolant ?? null;

  return (
    <>
      <header class="page-head history-head">
        <h1>History</h1>
        <p class="history-span" data-testid="span-shown" data-from={span.from} data-to={span.to}>
          {spanText(span.from, span.to)}
        </p>
      </header>
      <Toolbar
        span={span}
        following={following}
        show={show}
        preset={preset}
        all={showAll}
        latest={showLatest}
      />
      <RefusalText
        refusal={spanRefusal ?? loaded.refusal}
        again={() => (spanRefusal ? showAll() : loaded.again())}
      />
      <JournalDoubt />
      <div class="history-stage" aria-busy={loaded.loading}>
        <MarkLane happenings={happenings} span={span} widthPx={widthPx} show={showMarked} />
        <section
          class="history-panels"
          ref={stage}
          aria-labelledby="charts-title"
          aria-describedby="keys"
          data-testid="charts"
        >
          <h2 id="charts-title" class="unseen">
            Charts
          </h2>
          {panels.map((panel, i) => (
            <PanelChart
              key={panel.key}
              panel={panel}
              span={span}
              traces={byPanel[i] ?? []}
              marks={marks}
              range={coolant && panel.channels.some(({ kind }) => kind === "coolant-inlet") ? coolant : null}
              withTimes={i === panels.length - 1}
              moment={moment}
            />
          ))}
          {moment !== null && (
            <div class="history-drawn-place">
              <MomentLine share={(moment - span.from) / length} words={momentText(moment, length)} />
            </div>
          )}
          {drawn && (
            <div class="history-drawn-place">
              <div
                class="history-drawn"
                style={{
                  left: `${Math.max(0, Math.min(drawn.one, drawn.other)) * 100}%`,
                  right: `${(1 - Math.min(1, Math.max(drawn.one, drawn.other))) * 100}%`,
                }}
              />
            </div>
          )}
          {empty && (
            <p class="history-empty" role="status" data-testid="history-empty">
              No reading of these channels in this span. “All” shows everything that the journal holds.
            </p>
          )}
        </section>
        <p class="history-busy" role="status">
          {loaded.loading ? "Fetching this span …" : ""}
        </p>
      </div>
      {thinned && (
        <p class="soft" data-testid="history-thinned">
          {THINNED}
        </p>
      )}
      <p class="soft" id="keys">
        Drag across a chart to zoom in, turn the wheel or spread two fingers; point at it, or tap it, to read
        off the values there. With the charts in focus: ← and → move, + and − zoom, Home shows all, End goes
        to now, Shift with ← and → reads off. {NOTES.join(" ")}
      </p>
      <ChannelChoice all={all} chosen={channels} choose={choose} />
      <Save
        span={span}
        loading={loaded.loading}
        shown={chosen.flatMap(({ id, name }) => {
          const series = loaded.series.get(id);
          return series ? [{ name, series }] : [];
        })}
        picture={() => ({
          title: `${now.value?.stationName ?? "Workshop station"}: history`,
          span: spanText(span.from, span.to),
          simulated: now.value?.simulated ?? false,
          panels: [...(stage.current?.querySelectorAll("canvas") ?? [])].flatMap((canvas, i) => {
            const panel = panels[i];
            return panel ? [{ panel, canvas }] : [];
          }),
          notes: thinned ? [...NOTES, THINNED] : NOTES,
        })}
      />
    </>
  );
}

/** Any span of what the journal holds. */
export function HistoryPage() {
  usePageTitle("History");
  const channels = now.value?.channels;
  // The live message brings new values each second; what a channel is stays the same through a start of the station.
  const all = useMemo(() => channels ?? [], [channels?.map(({ id }) => id).join(), now.value?.start]);
  return (
    <div class="page history">
      {now.value === null && (
        <>
          <h1>History</h1>
          <p role="status">Fetching the channels.</p>
        </>
      )}
      {now.value !== null && all.length === 0 && (
        <>
          <h1>History</h1>
          <p>
            No channel is configured, so there is nothing to show. Add one to the station's configuration
            file.
          </p>
        </>
      )}
      {all.length > 0 && <Charts key={now.value?.start} all={all} />}
    </div>
  );
}
