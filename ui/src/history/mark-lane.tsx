import { useLayoutEffect, useRef, useState } from "preact/hooks";
import { PRIORITIES, type Priority } from "../../../station/model/alarm.js";
import { PLOT_LEFT_PX } from "../charts/panel-spec.js";
import { PriorityShape } from "../marks/priority.js";
import { Sign } from "../marks/signs.js";
import { type Cluster, clustersOf, type Happening } from "./happenings.js";
import { countText, detailOf, headOf, pageOf, timeOf } from "./mark-words.js";
import { clamped, type Span } from "./span.js";

/** A mark is as wide as a wet finger needs. */
const MARK_PX = 52;
const MOST_LISTED = 40;
/** Share of its length by which a span reaches past the marks it is zoomed to. */
const ROUND_THEM = 0.15;

interface Props {
  readonly happenings: readonly Happening[];
  readonly span: Span;
  /** Of the drawing. */
  readonly widthPx: number;
  readonly show: (span: Span) => void;
}

function worstOf(happenings: readonly Happening[]): Priority | null {
  const ranks = happenings.flatMap((each) =>
    each.kind === "alarm" ? [PRIORITIES.indexOf(each.mark.priority)] : [],
  );
  return ranks.length === 0 ? null : (PRIORITIES[Math.min(...ranks)] ?? null);
}

function Shape({ happenings }: { happenings: readonly Happening[] }) {
  const worst = worstOf(happenings);
  if (worst !== null) return <PriorityShape priority={worst} />;
  return <Sign name={happenings.some(({ kind }) => kind === "run") ? "runs" : "optics"} />;
}

function Mark({ cluster, open, press }: { cluster: Cluster; open: boolean; press: () => void }) {
  const { happenings, x } = cluster;
  const [only, ...others] = happenings;
  if (only === undefined) return null;
  const left = `${PLOT_LEFT_PX + x - MARK_PX / 2}px`;
  const page = others.length === 0 ? pageOf(only) : null;
  const testId = `mark-${others.length === 0 ? only.key : "several"}`;
  if (page !== null) {
    return (
      <a
        class="time-mark"
        style={{ left }}
        href={page}
        data-testid={testId}
        title={`${headOf(only)}, ${timeOf(only)}`}
      >
        <Shape happenings={happenings} />
        {only.kind === "run" && <span aria-hidden="true">{only.mark.number}</span>}
        <span class="unseen">
          {headOf(only)}, {timeOf(only)}
        </span>
      </a>
    );
  }
  const words = others.length === 0 ? headOf(only) : countText(happenings);
  return (
    <button
      type="button"
      class="time-mark"
      style={{ left }}
      aria-expanded={open}
      data-testid={testId}
      title={words}
      onClick={press}
    >
      <Shape happenings={happenings} />
      {others.length > 0 && <span aria-hidden="true">{happenings.length}</span>}
      <span class="unseen">
        {words}, {timeOf(only)}
      </span>
    </button>
  );
}

function Entry({ happening }: { happening: Happening }) {
  const page = pageOf(happening);
  const detail = detailOf(happening);
  const words = (
    <>
      <span class="mark-entry-head">
        <Shape happenings={[happening]} /> <strong>{headOf(happening)}</strong>
        {happening.kind === "alarm" && <span class="unseen">priority {happening.mark.priority}</span>}
      </span>
      <span class="soft">{timeOf(happening)}</span>
      {detail !== "" && <span class="mark-entry-detail">{detail}</span>}
    </>
  );
  return (
    <li>
      {page === null ? (
        <p class="mark-entry">{words}</p>
      ) : (
        <a class="mark-entry" href={page} data-testid={`entry-${happening.key}`}>
          {words}
        </a>
      )}
    </li>
  );
}

/** A span that holds all of a cluster, with some time on either side. */
function spanAround(happenings: readonly Happening[]): Span {
  const ends = happenings.flatMap((each) =>
    each.kind === "run" ? [each.wall, each.mark.endWall ?? each.wall] : [each.wall],
  );
  const [from, to] = [Math.min(...ends), Math.max(...ends)];
  const air = (to - from) * ROUND_THEM;
  return clamped({ from: from - air, to: to + air });
}

/** What happened, over the charts at its time. A mark opens what it stands for; several in one place are listed first. */
export function MarkLane({ happenings, span, widthPx, show }: Props) {
  const [openKey, setOpenKey] = useState<string | null>(null);
  const lane = useRef<HTMLElement>(null);
  const list = useRef<HTMLDivElement>(null);
  const clusters = widthPx > 0 ? clustersOf(happenings, span, widthPx, MARK_PX) : [];
  const keyOf = (cluster: Cluster) => `${cluster.happenings[0]?.key} ${cluster.happenings.length}`;
  const open = clusters.find((cluster) => keyOf(cluster) === openKey) ?? null;

  const close = () => {
    setOpenKey(null);
    lane.current?.querySelector<HTMLElement>("[aria-expanded='true']")?.focus();
  };
  useLayoutEffect(() => {
    if (open === null) return;
    list.current?.querySelector<HTMLElement>("a, button")?.focus({ preventScroll: true });
    const leave = (event: PointerEvent) => {
      if (!lane.current?.contains(event.target as Node)) setOpenKey(null);
    };
    const closeByKey = (event: KeyboardEvent) => {
      if (event.key === "Escape") close();
    };
    document.addEventListener("pointerdown", leave);
    document.addEventListener("keydown", closeByKey);
    return () => {
      document.removeEventListener("pointerdown", leave);
      document.removeEventListener("keydown", closeByKey);
    };
  }, [open === null ? null : openKey]);

  const listed = open?.happenings.slice(-MOST_LISTED).reverse() ?? [];
  const left = open === null ? 0 : Math.min(open.x, Math.max(0, widthPx - 340));
  return (
    <section class="mark-lane" ref={lane} aria-label="What happened">
      {clusters.map((cluster) => (
        <Mark
          key={keyOf(cluster)}
          cluster={cluster}
          open={cluster === open}
          press={() => setOpenKey(cluster === open ? null : keyOf(cluster))}
        />
      ))}
      {open !== null && (
        <div class="mark-list" ref={list} style={{ left: `${left}px` }} data-testid="mark-list">
          <div class="mark-list-head">
            <strong>{countText(open.happenings)}</strong>
            {open.happenings.length > 1 && (
              <button
                type="button"
                class="button"
                onClick={() => {
                  setOpenKey(null);
                  show(spanAround(open.happenings));
                }}
              >
                Zoom to these
              </button>
            )}
            <button type="button" class="button" onClick={close}>
              Close
            </button>
          </div>
          <ol>
            {listed.map((happening) => (
              <Entry key={happening.key} happening={happening} />
            ))}
          </ol>
          {listed.length < open.happenings.length && (
            <p class="soft">The latest {MOST_LISTED} of them. Zoom in to see the others.</p>
          )}
        </div>
      )}
    </section>
  );
}
