import type { RefObject } from "preact";
import { useLayoutEffect, useRef } from "preact/hooks";
import type { Happening } from "./happenings.js";
import { MarkShape } from "./mark-shape.js";
import { countText, detailOf, headOf, howMany, pageOf, type Single, timeOf } from "./mark-words.js";

const MOST_LISTED = 40;
const LIST_WIDTH = "min(340px, 100%)";

interface Props {
  readonly happenings: readonly Happening[];
  /** Where it begins where there is room to its right. */
  readonly leftPx: number;
  /** A press outside it, or Escape, closes the list. */
  readonly lane: RefObject<HTMLElement | null>;
  /** Back to the mark. */
  readonly close: () => void;
  readonly leave: () => void;
  readonly zoom: () => void;
}

function Entry({ happening }: { happening: Single }) {
  const page = pageOf(happening);
  const detail = detailOf(happening);
  const words = (
    <>
      <span class="mark-entry-head">
        <MarkShape happenings={[happening]} /> <strong>{headOf(happening)}</strong>
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

function isSingle(happening: Happening): happening is Single {
  return happening.kind !== "crowd";
}

/** What a mark stands for, latest first: each by itself as far as there is room and they are told by themselves. */
export function MarkList({ happenings, leftPx, lane, close, leave, zoom }: Props) {
  const list = useRef<HTMLDivElement>(null);
  const latest = useRef({ close, leave });
  latest.current = { close, leave };
  useLayoutEffect(() => {
    list.current?.querySelector<HTMLElement>("a, button")?.focus({ preventScroll: true });
    const leaveByPress = (event: PointerEvent) => {
      if (!lane.current?.contains(event.target as Node)) latest.current.leave();
    };
    const closeByKey = (event: KeyboardEvent) => {
      if (event.key === "Escape") latest.current.close();
    };
    document.addEventListener("pointerdown", leaveByPress);
    document.addEventListener("keydown", closeByKey);
    return () => {
      document.removeEventListener("pointerdown", leaveByPress);
      document.removeEventListener("keydown", closeByKey);
    };
  }, []);

  const count = howMany(happenings);
  const listed = happenings.filter(isSingle).slice(-MOST_LISTED).reverse();
  const unlisted = count - listed.length;
  return (
    <div
      class="mark-list"
      ref={list}
      style={{ width: LIST_WIDTH, left: `min(${leftPx}px, 100% - ${LIST_WIDTH})` }}
      data-testid="mark-list"
    >
      <div class="mark-list-head">
        <strong>{countText(happenings)}</strong>
        {(count > 1 || unlisted > 0) && (
          <button type="button" class="button" data-testid="zoom-to-these" onClick={zoom}>
            Zoom to {count > 1 ? "these" : "this"}
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
      {unlisted > 0 && (
        <p class="soft">
          {listed.length > 0 ? `${unlisted} more: zoom` : "Zoom"} in to see {count > 1 ? "each" : "it"}.
        </p>
      )}
    </div>
  );
}
