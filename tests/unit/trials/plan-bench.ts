import { randomUUID } from "node:crypto";
import type { Action, ActionResult } from "../../../station/journal/protocol.js";
import { errorOf } from "../../../station/journal/refusal.js";
import { createTrialReads } from "../../../station/journal/trials/reads.js";
import { createTrialViews } from "../../../station/journal/trials/views.js";
import type { Entry, EntryBody, EntryKind } from "../../../station/model/entry.js";
import type { LotFacts } from "../../../station/model/lot.js";
import type { PlanFacts } from "../../../station/model/plan.js";
import type { Run, RunCause, RunSettings } from "../../../station/model/run.js";
import { createRandom } from "../../../station/random.js";
import { createPlanDesk, type PlanDeskParts } from "../../../station/trials/plans/plan-desk.js";
import { ended, openRun, sessionStart, WALL, writerBench } from "../journal/samples.js";

export const LOTS = ["00000000-0000-4000-8000-000000000001", "00000000-0000-4000-8000-000000000002"] as const;

/** As where everything is on the disk. */
export const NOTHING_LATE = { entries: [], specimens: [], runs: [] };

export function lotFacts(changes: Partial<LotFacts> = {}): LotFacts {
  return { product: "Quayside board", stock: "mdf", nominal_mm: 3, ...changes };
}

export function ladder(changes: Partial<PlanFacts> = {}): PlanFacts {
  return {
    title: "Two boards",
    lots: [...LOTS],
    layout: { method: "ladder", vary: "speed", rungs: [10, 12, 14], replicates: 2 },
    power_pct: 60,
    passes: 1,
    spacers_mm: [7, 6.75],
    properties: ["through", "back_fuzz"],
    blind: true,
    second_share: 0.25,
    checks: ["optics", "coolant"],
    seed: 7,
    ...changes,
  };
}

export function entry<K extends EntryKind>(
  kind: K,
  subject: string,
  body: EntryBody<K>,
  property = "",
): Entry<K> {
  return { entry: randomUUID(), kind, subject, property, body, enteredWall: null, by: "phone" } as Entry<K>;
}

/** A desk over a journal of its own, in this thread. The runs are begun and ended by hand. */
export function planBench(
  search: PlanDeskParts["search"] = async () => ({ tries: [], found: [] }),
  random: () => number = createRandom(5),
) {
  const { db, put, remove } = writerBench(sessionStart());
  const reads = { ...createTrialReads(db), ...createTrialViews(db) };
  const failures: unknown[] = [];
  const later: (() => void)[] = [];
  let entered: RunSettings = {};
  let asked: RunSettings | null = null;
  const sheet = () => asked ?? entered;
  let mono = 1000;
  let held: Promise<void> | null = null;
  let refusing: Error | null = null;

  function act(action: Action): ActionResult {
    const { result, refused } = put([], action);
    if (refused !== null) throw errorOf(refused);
    return result;
  }
  const keep = (async (name: string, params: unknown) => {
    const refusal = refusing;
    await held;
    if (refusal !== null) throw refusal;
    return act({ name, params } as Action);
  }) as unknown as PlanDeskParts["keep"];
  const ask = (async (question: "lots", params: null) =>
    reads[question](params)) as unknown as PlanDeskParts["ask"];
  const parts: PlanDeskParts = {
    clock: {
      now: () => ({ wall: WALL + mono - 1000, mono: ++mono }),
      bootId: "boot-1",
      state: () => "synchronised",
    },
    keep,
    ask,
    runs: {
      current: () => null,
      unkept: () => [],
      askFor: (settings) => {
        asked = settings;
      },
    },
    search,
    random,
    later: (work) => later.push(work),
    changed: () => {},
    failed: (error) => failures.push(error),
  };
  const desk = createPlanDesk(parts);
  const runs: Run[] = [];

  return {
    desk,
    reads,
    failures,
    sheet,
    /** What a person enters for the next run. */
    setSheet(settings: RunSettings) {
      entered = settings;
    },
    /** What was put off is done. */
    goOn() {
      for (const work of later.splice(0)) work();
    },
    /** Nothing reaches the disk until the promise resolves. */
    hold(until: Promise<void> | null) {
      held = until;
    },
    /** What is handed over from now on is not kept, as where the journal has been closed; null: it is again. */
    refuse(error: Error | null) {
      refusing = error;
    },
    addLots() {
      LOTS.forEach((id, i) => {
        act({
          name: "lotKept",
          params: {
            id,
            facts: lotFacts({ product: `Board ${i + 1}` }),
            at: { wall: WALL, mono: 1000 },
            by: null,
          },
        });
      });
    },
    /** Another desk over the same journal, as after a start. */
    restarted: () => createPlanDesk(parts),
    /** A run that takes the job sheet, as the run desk gives it, from its beginning to its end. */
    cut(cause: RunCause = "foot-switch", settings: RunSettings = sheet()): Run {
      const begun = openRun(randomUUID(), {
        ...{ cause, settings },
        ...{ startMono: ++mono, startWall: WALL + mono - 1000 },
      });
      const { specimen: _cut, ...next } = sheet();
      if (asked === null) entered = next;
      else asked = next;
      const kept = act({ name: "runBegun", params: begun }) as Run;
      desk.runChanged(kept);
      const done = ended(kept);
      act({ name: "runEnded", params: done });
      desk.runChanged(done);
      runs.push(done);
      return done;
    },
    act,
    /** As a worn card would: without the checksum that goes with it. */
    damage(sql: string) {
      db.exec("DROP TRIGGER temp.trial_entry_updated");
      db.exec(sql);
    },
    remove,
  };
}
