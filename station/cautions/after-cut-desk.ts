import {
  type CutEnded,
  type FireWatchMemory,
  type FireWatchRules,
  lookedAt,
  type Moment,
  viewFireWatch,
  watchAfter,
} from "../conditions/fire-watch.js";
import { BEFORE_ANY_CUT, type RunOnFacts, stepRunOn, viewRunOn } from "../conditions/run-on.js";
import { AppError } from "../errors.js";
import type { AfterCut } from "../model/after-cut.js";
import type { Deed, KeptDeed } from "../model/deed.js";
import type { Clock } from "../model/instant.js";
import type { Run } from "../model/run.js";
import { type Kept, keptWithin } from "../trials/kept.js";

/** Under which the log of who did what has them. */
const LOOK = "fire-watch-look";
const BEGUN = "fire-watch-begun";
export const FIRE_WATCH_DEEDS = [LOOK, BEGUN];

/** A watch that nobody ended is given up at a start so long after its end: whoever comes in next morning has nothing left to see. */
const GIVEN_UP_MS = 60 * 60_000;

export interface AfterCutRules extends FireWatchRules {
  /** For how long the extraction should run on, seconds; 0 for not at all. */
  readonly runOnS: number;
}

export interface AfterCutParts {
  readonly clock: Clock;
  readonly rules: AfterCutRules;
  readonly smoulders: (material: string | undefined) => boolean;
  readonly keep: (deed: Deed) => Promise<void>;
  /** Somebody looked: what was raised for want of a look has been answered. */
  readonly looked: (by: string) => void;
  readonly changed: () => void;
}

export interface AfterCutDesk {
  /** Called with every picture. */
  step(facts: RunOnFacts): AfterCut;
  view(): AfterCut;
  /** A run has begun or ended. */
  runChanged(run: Run): void;
  /** "I have looked at the bed and the tray." @throws AppError `fire-watch-none` where none is under way */
  look(by: string | null): Promise<Kept<AfterCut>>;
  /** Begins a watch by hand. @throws AppError `fire-watch-none` where nothing was cut lately */
  begin(by: string | null): Promise<Kept<AfterCut>>;
  /** What the journal says of the starts before this one: the newest runs and the deeds of the watch, in any order. */
  takeUp(runs: readonly Run[], deeds: readonly KeptDeed[]): void;
}

/** What is to be done after a cut: the extraction runs on, and somebody looks for fire. */
export function createAfterCutDesk(parts: AfterCutParts): AfterCutDesk {
  const { clock, rules } = parts;
  let runOn = BEFORE_ANY_CUT;
  let watch: FireWatchMemory | null = null;
  let lastCut: CutEnded | null = null;

  const here = (): Moment => ({ ...clock.now(), bootId: clock.bootId });
  const cutOf = ({ endWall, endMono, bootId, settings }: Run): CutEnded => ({
    ended: endWall === null || endMono === null ? here() : { wall: endWall, mono: endMono, bootId },
    material: settings.material ?? "",
    smoulders: parts.smoulders(settings.material),
  });
  const view = (): AfterCut => {
    const now = here();
    // Of a cut whose stock was named it is known whether it smoulders, and there is nothing to offer.
    const sinceCutMin =
      lastCut === null || lastCut.material !== "" || lastCut.ended.bootId !== now.bootId
        ? null
        : (now.mono - lastCut.ended.mono) / 60_000;
    const facts = { now, clock: clock.state(), cutting: runOn.cutting, sinceCutMin };
    return { runOn: viewRunOn(runOn, rules.runOnS), fireWatch: viewFireWatch(watch, facts, rules) };
  };
  const told = (what: string, subject: string, by: string | null, detail: unknown) => {
    const answer = view();
    const deed: Deed = {
      ...{ who: by, role: null, address: null },
      ...{ what, subject, outcome: "done", detail, at: clock.now() },
    };
    parts.changed();
    return keptWithin(
      parts.keep(deed).then(() => answer),
      answer,
    );
  };
  const none = (why: string) => new AppError("fire-watch-none", why);

  return {
    step(facts) {
      runOn = stepRunOn(runOn, facts, rules.runOnS);
      return view();
    },
    view,
    runChanged(run) {
      if (run.endMono === null) return;
      lastCut = cutOf(run);
      watch = watchAfter(watch, lastCut);
    },
    look(by) {
      if (watch === null || runOn.cutting) {
        throw none("No watch for fire is under way now. There is nothing to do.");
      }
      const { material } = watch;
      watch = lookedAt(watch, here(), clock.state(), rules);
      if (watch === null) lastCut = null;
      parts.looked(by ?? "a screen");
      return told(LOOK, material, by, { over: watch === null });
    },
    begin(by) {
      if (lastCut === null || !view().fireWatch.offered) {
        throw none("Nothing was cut in the last half hour that a watch could be begun for.");
      }
      watch = watchAfter(null, { ...lastCut, smoulders: true });
      return told(BEGUN, lastCut.material, by, null);
    },
    takeUp(runs, deeds) {
      // What has happened since the start is newer than all of it.
      if (lastCut !== null) return;
      const now = here();
      let memory: FireWatchMemory | null = null;
      let last: CutEnded | null = null;
      for (const happened of inOrder(runs, deeds, cutOf)) {
        if ("cut" in happened) {
          last = happened.cut;
          memory = watchAfter(memory, last);
        } else if (happened.deed.what === BEGUN) {
          memory = last === null ? memory : watchAfter(null, { ...last, smoulders: true });
        } else if (memory !== null) {
          const { at, bootId } = happened.deed;
          memory = lookedAt(memory, { ...at, bootId }, clock.state(), rules);
          if (memory === null) last = null;
        }
      }
      lastCut = last;
      watch = stillWatched(memory, now, clock, rules);
    },
  };
}

type Happened = { readonly wall: number } & ({ readonly cut: CutEnded } | { readonly deed: KeptDeed });

function inOrder(
  runs: readonly Run[],
  deeds: readonly KeptDeed[],
  cutOf: (run: Run) => CutEnded,
): readonly Happened[] {
  const cuts = runs.map((run) => {
    const cut = cutOf(run);
    return { wall: cut.ended.wall, cut };
  });
  const looks = deeds
    .filter(({ what }) => FIRE_WATCH_DEEDS.includes(what))
    .map((deed) => ({ wall: deed.at.wall, deed }));
  return [...cuts, ...looks].sort((a, b) => a.wall - b.wall);
}

/**
 * A watch that is long past is given up. One of another boot whose age nobody can tell is held from now on: a clock that is set later would
 * else end it at once, or never.
 */
function stillWatched(
  memory: FireWatchMemory | null,
  now: Moment,
  clock: Clock,
  rules: FireWatchRules,
): FireWatchMemory | null {
  if (memory === null) return null;
  const sameBoot = memory.ended.bootId === now.bootId;
  if (!sameBoot && clock.state() === "not synchronised") return { ...memory, ended: now, lastLook: null };
  const sinceMs = sameBoot ? now.mono - memory.ended.mono : now.wall - memory.ended.wall;
  return sinceMs > rules.lengthMin * 60_000 + GIVEN_UP_MS ? null : memory;
}
