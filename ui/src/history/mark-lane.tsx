import { useRef, useState } from "preact/hooks";
import { PLOT_LEFT_PX } from "../charts/panel-spec.js";
import { fullText } from "../words/time.js";
import { type Cluster, clustersOf, endOf, type Happening } from "./happenings.js";
import { MarkList } from "./mark-list.js";
import { MarkShape } from "./mark-shape.js";
import { countText, headOf, howMany, pageOf, type Single, timeOf } from "./mark-words.js";
import { clamped, type Span } from "./span.js";

/** A mark is as wide as a wet finger needs. */
const MARK_PX = 52;
/** Share of its length by which a span reaches past the marks it is zoomed to. */
const ROUND_THEM = 0.15;

interface Props {
  readonly happenings: readonly Happening[];
  readonly span: Span;
  /** Of the drawing. */
  readonly widthPx: number;
  readonly show: (span: Span) => void;
}

/** What a cluster stands for where that is one thing by itself. */
function singleOf({ happenings }: Cluster): Single | null {
  const [only, ...others] = happenings;
  return only === undefined || others.length > 0 || only.kind === "crowd" ? null : only;
}

interface MarkProps {
  readonly cluster: Cluster;
  readonly open: boolean;
  /** Whether Tab comes to it: the arrow keys go to the others. */
  readonly stop: boolean;
  readonly press: () => void;
  readonly reached: () => void;
}

function Mark({ cluster, open, stop, press, reached }: MarkProps) {
  const { happenings, x } = cluster;
  const only = singleOf(cluster);
  const page = only === null ? null : pageOf(only);
  const common = {
    class: "time-mark",
    // Within the lane also in the moment in which it has become narrower and nothing is drawn anew.
    style: { left: `min(${PLOT_LEFT_PX + x - MARK_PX / 2}px, 100% - ${MARK_PX}px)` },
    tabIndex: stop ? 0 : -1,
    onFocus: reached,
    "data-testid": `mark-${only === null ? "several" : only.key}`,
  };
  const shape = <MarkShape happenings={happenings} />;
  if (only !== null && page !== null) {
    const words = `${headOf(only)}, ${timeOf(only)}`;
    return (
      <a {...common} href={page} title={words}>
        {shape}
        {only.kind === "run" && <Count count={only.mark.number} />}
        <span class="unseen">{words}</span>
      </a>
    );
  }
  const words = only === null ? countText(happenings) : headOf(only);
  const wall = happenings[0]?.wall ?? 0;
  return (
    <button type="button" {...common} aria-expanded={open} title={words} onClick={press}>
      {shape}
      {only === null && <Count count={howMany(happenings)} />}
      <span class="unseen">
        {words}, {only === null ? `from ${fullText(wall)}` : timeOf(only)}
      </span>
    </button>
  );
}

/** There is room for four digits beside the shape. */
function Count({ count }: { count: number }) {
  return (
    <span class={count > 99 ? "time-mark-long" : ""} aria-hidden="true">
      {count > 9999 ? `${Math.floor(count / 1000)}k` : count}
    </span>
  );
}

/** A span that holds all of a cluster, with some time on either side. */
function spanAround(happenings: readonly Happening[]): Span {
  const from = Math.min(...happenings.map(({ wall }) => wall));
  // A run that is still open counts by its start.
  const to = Math.max(...happenings.flatMap((each) => [each.wall, endOf(each)]).filter(Number.isFinite));
  const air = (to - from) * ROUND_THEM;
  return clamped({ from: from - air, to: to + air });
}

/**
 * What happened, over the charts at its time. A mark opens what it stands for; several in one place are listed first. For
 * the keys it is one stop: there may be dozens of marks on the way to the charts.
 */
export function MarkLane({ happenings, span, widthPx, show }: Props) {
  const [openKey, setOpenKey] = useState<string | null>(null);
  const [stopKey, setStopKey] = useState<string | null>(null);
  const lane = useRef<HTMLElement>(null);
  const clusters = widthPx > 0 ? clustersOf(happenings, span, widthPx, MARK_PX) : [];
  const keyOf = (cluster: Cluster | undefined) => cluster?.happenings[0]?.key ?? null;
  const open = clusters.find((cluster) => keyOf(cluster) === openKey) ?? null;
  const stop = clusters.find((cluster) => keyOf(cluster) === stopKey) ?? clusters.at(-1);

  const close = () => {
    setOpenKey(null);
    lane.current?.querySelector<HTMLElement>("[aria-expanded='true']")?.focus();
  };
  const goAlong = (event: KeyboardEvent) => {
    const marks = [...(lane.current?.querySelectorAll<HTMLElement>(".time-mark") ?? [])];
    const here = marks.indexOf(event.target as HTMLElement);
    const there = { ArrowLeft: here - 1, ArrowRight: here + 1, Home: 0, End: marks.length - 1 }[event.key];
    if (here === -1 || there === undefined) return;
    event.preventDefault();
    marks[there]?.focus();
  };
  return (
    <section class="mark-lane" ref={lane} aria-label="What happened" onKeyDown={goAlong}>
      {clusters.map((cluster) => (
        <Mark
          key={keyOf(cluster)}
          cluster={cluster}
          open={cluster === open}
          stop={cluster === stop}
          press={() => setOpenKey(cluster === open ? null : keyOf(cluster))}
          reached={() => setStopKey(keyOf(cluster))}
        />
      ))}
      {open !== null && (
        <MarkList
          key={openKey}
          happenings={open.happenings}
          leftPx={open.x}
          lane={lane}
          close={close}
          leave={() => setOpenKey(null)}
          zoom={() => {
            setOpenKey(null);
            show(spanAround(open.happenings));
          }}
        />
      )}
    </section>
  );
}
