import { AppError } from "../errors.js";
import { CHECKLIST_IDS, type CheckList, type CheckListId, type CheckListNow } from "../model/caution.js";
import type { Deed, KeptDeed } from "../model/deed.js";
import type { Clock } from "../model/instant.js";
import { type Kept, keptWithin } from "../trials/kept.js";
import { isDue, type Moment } from "./checklist-due.js";

/** Under which the log of who did what has them. */
const WHAT = "checklist";

export interface CheckListParts {
  readonly clock: Clock;
  readonly lists: Readonly<Record<CheckListId, CheckList>>;
  readonly dayOf: (wall: number) => string;
  readonly runs: { current(): unknown; lastEndMono(): number | null };
  readonly keep: (deed: Deed) => Promise<void>;
  readonly changed: () => void;
}

export interface CheckListDesk {
  /** Those that are due now. */
  now(): readonly CheckListNow[];
  /** Everything on it was looked at. @throws AppError `request-invalid` where something was not */
  done(id: CheckListId, items: readonly string[], by: string | null): Promise<Kept<CheckListNow>>;
  /** What the journal says of the starts before this one, whenever it says so. */
  takeUp(deeds: readonly KeptDeed[]): void;
}

/** Kind of deed that the journal is asked for at a start. */
export const CHECKLIST_DEED = WHAT;

export function createCheckListDesk(parts: CheckListParts): CheckListDesk {
  const { clock, lists, runs } = parts;
  const last: Record<CheckListId, Moment | null> = { "before-first-cut": null, "after-last-cut": null };
  const view = (id: CheckListId): CheckListNow => ({
    id,
    title: lists[id].title,
    doneWall: last[id]?.wall ?? null,
    due: isDue(id, {
      now: { ...clock.now(), bootId: clock.bootId },
      clock: clock.state(),
      dayOf: parts.dayOf,
      done: last,
      runOpen: runs.current() !== null,
      lastEndMono: runs.lastEndMono(),
    }),
  });
  return {
    now: () => CHECKLIST_IDS.map(view).filter(({ due }) => due),
    async done(id, items, by) {
      const left = lists[id].items.filter((item) => !items.includes(item.id));
      if (left.length > 0) {
        throw new AppError(
          "request-invalid",
          `${left.length} more to look at: ${left.map(({ text }) => text).join(" ")}`,
          left.map((item) => ({ path: `items.${item.id}`, expected: "looked at" })),
        );
      }
      const at = clock.now();
      last[id] = { ...at, bootId: clock.bootId };
      parts.changed();
      const answer = view(id);
      const deed: Deed = {
        ...{ who: by, role: null, address: null },
        ...{ what: WHAT, subject: id, outcome: "done", detail: { items }, at },
      };
      return keptWithin(
        parts.keep(deed).then(() => answer),
        answer,
      );
    },
    takeUp(deeds) {
      for (const id of CHECKLIST_IDS) {
        const newest = deeds.find(({ what, subject }) => what === WHAT && subject === id);
        if (newest !== undefined) last[id] ??= { ...newest.at, bootId: newest.bootId };
      }
    },
  };
}
