import { randomUUID } from "node:crypto";
import { isDeepStrictEqual } from "node:util";
import type { DerivedValue } from "../conditions/deriver.js";
import { AppError } from "../errors.js";
import type { Clock, Instant } from "../model/instant.js";
import type { ChannelKind } from "../model/quantity.js";
import type { Reading } from "../model/reading.js";
import type { Run, RunEnd, RunSettings } from "../model/run.js";
import { runSettingsSchema } from "../model/run-schema.js";
import { createRecentPast, type Standing } from "./recent-past.js";
import { createRunKeeper, type RunStep } from "./run-keeper.js";
import type { StampRules } from "./stamp.js";
import { createStamper, type Stamper } from "./stamper.js";

/** Where runs are kept. Each promise resolves once the row is on the disk. */
export interface RunStore {
  /** Answers with the run as kept: the journal gives it its number. */
  runBegun(run: Run): Promise<Run>;
  runEnded(run: Run): Promise<void>;
}

/** A run as it is now, and the promise of it as it is once on the disk. */
export interface Keeping {
  readonly run: Run;
  readonly kept: Promise<Run>;
}

/** `run` has its stamp as it would be if no reading of its time were still to come; `kept` has it for good. */
export interface Ending extends Keeping {
  /** Resolves once it is stamped for good: all readings of its time have come. */
  readonly stamped: Promise<void>;
}

export interface RunDesk {
  /** Every reading, in order, with what was derived from it. */
  take(reading: Reading, derived: readonly DerivedValue[], extraction: Standing["extraction"]): void;
  tick(now: Instant): void;
  /** @throws AppError `run-open` */
  begin(): Keeping;
  /** @throws AppError `run-not-open`, `run-unknown` (another run is open) */
  end(id: string): Ending;
  current(): Run | null;
  /** Runs of this start that have ended and are still on their way to the disk, newest first. */
  unkept(): readonly Run[];
  /** Takes up what the journal has said of the starts before, if it says so only now. */
  takeUp(before: Pick<RunDeskParts, "lastNumber" | "jobSheet">): void;
  /** The wall time of the job sheet became known: the clock has been set since. */
  placed(jobSheet: RunDeskParts["jobSheet"]): void;
  /** Whether a run was begun since this start of the station. */
  hasBegun(id: string): boolean;
  /** When the last run since this start of the station ended, monotonic milliseconds; null if none has. */
  lastEndMono(): number | null;
  /** What the next run will take: what a plan asks for, or else what was entered. */
  jobSheet(): RunSettings;
  /** Wall time at which that was entered or asked for; null if neither has been. */
  jobSheetWall(): number | null;
  setJobSheet(settings: RunSettings, at: Instant): void;
  /** What was entered, which is there again as soon as no plan asks for anything. */
  entered(): RunSettings;
  /** What a plan asks the next run to take; null for nothing. */
  askFor(settings: RunSettings | null, at: Instant): void;
  /** Corrects what was entered for a run that is open or still on its way to the disk. */
  correct(id: string, settings: RunSettings): void;
  /** Closes an open run, once no source reads any more; resolves once all ends are on the disk. */
  shutDown(): Promise<void>;
}

export interface RunDeskParts {
  readonly clock: Clock;
  readonly rules: StampRules;
  readonly joinGapMs: number;
  readonly store: RunStore;
  /** Hours since the optics were cleaned, at `now`; null if never. */
  readonly opticsHours: (now: Instant) => number | null;
  readonly simulated: boolean;
  /** Whether the beam begins runs now; default: always. */
  readonly beamBegins?: () => boolean;
  readonly lastNumber: number;
  /** As last entered, with the wall time of that; null if never. */
  readonly jobSheet: { readonly settings: RunSettings; readonly wall: number } | null;
  /**
   * Resolves once every reading from before the call has been taken: a source may hand over late what it dates back, and all the
   * later where the loop was held up. A run is stamped for good then, since the journal has those readings too.
   */
  readonly delivered: () => Promise<void>;
  /** Called as a run begins and as it ends, before either is on the disk. */
  readonly changed?: (run: Run) => void;
  /** Called where readings that came after the end of a run have changed its stamp. */
  readonly restamped?: (run: Run) => void;
  /** Called when a run could not be kept; the alarm of the journal says the same to everybody. */
  readonly failed: (error: unknown) => void;
}

interface OpenRun {
  run: Run;
  readonly stamper: Stamper;
  readonly kept: Promise<Run>;
}

/** Opens, stamps and closes runs. The stamp is worked out here, as the readings pass: it never waits for the disk. */
export function createRunDesk(parts: RunDeskParts): RunDesk {
  const { clock, rules, store } = parts;
  const keeper = createRunKeeper({ joinGapMs: parts.joinGapMs });
  const kindOf = new Map<string, ChannelKind>(rules.definitions.map(({ id, kind }) => [id, kind]));
  const past = createRecentPast();
  const begunHere = new Set<string>();
  /** Runs that have ended and are not stamped for good yet, each with what has that done at once. */
  const ending = new Map<Stamper, () => void>();
  const unkept = new Map<string, Run>();
  let open: OpenRun | null = null;
  let entered = parts.jobSheet?.settings ?? {};
  let enteredWall = parts.jobSheet?.wall ?? null;
  let asked: { readonly settings: RunSettings; readonly wall: number } | null = null;
  let number = parts.lastNumber;
  let lastEndMono: number | null = null;
  /** Ends of runs that are on their way to the disk. */
  let closing: Promise<void> = Promise.resolve();

  const openRun = (at: Instant, cause: Run["cause"]): Keeping => {
    number += 1;
    // No earlier than what has settled: what was in force before that is no longer known.
    const late = Math.max(0, past.settledMono() - at.mono);
    const run: Run = {
      id: randomUUID(),
      number,
      cause,
      startWall: at.wall + late,
      startMono: at.mono + late,
      bootId: clock.bootId,
      clockAtStart: clock.state(),
      settings: asked?.settings ?? entered,
      simulated: parts.simulated,
      endWall: null,
      endMono: null,
      endCause: null,
      stamp: null,
    };
    begunHere.add(run.id);
    const opened: OpenRun = {
      run,
      stamper: createStamper(rules, run.startMono, past),
      kept: store.runBegun(run).then((stored) => {
        number = Math.max(number, stored.number);
        opened.run = { ...opened.run, number: stored.number };
        return opened.run;
      }),
    };
    opened.kept.catch(parts.failed);
    open = opened;
    if (asked === null) entered = nextJobSheet(entered);
    else asked = { ...asked, settings: nextJobSheet(asked.settings) };
    parts.changed?.(run);
    return opened;
  };

  const closeRun = (closed: OpenRun, at: Instant, cause: RunEnd): Ending => {
    open = null;
    lastEndMono = at.mono;
    const { stamper } = closed;
    const facts = { clockAtEnd: clock.state(), opticsHours: parts.opticsHours(at), endCause: cause };
    const { stamp: first, end } = stamper.close(closed.run, at, facts);
    const ended = { endWall: end.wall, endMono: end.mono, endCause: cause };
    const { id } = closed.run;
    unkept.set(id, { ...closed.run, ...ended, stamp: first });
    const stamped = new Promise<void>((resolve, reject) => {
      ending.set(stamper, resolve);
      parts.delivered().then(resolve, reject);
    }).then(() => {
      ending.delete(stamper);
      const { stamp } = stamper.close(closed.run, end, facts);
      const shown = unkept.get(id);
      if (shown !== undefined && !isDeepStrictEqual(stamp, first)) {
        unkept.set(id, { ...shown, stamp });
        parts.restamped?.({ ...shown, stamp });
      }
      return stamp;
    });
    const kept = Promise.all([closed.kept, stamped]).then(async ([, stamp]) => {
      // The number is the journal's, and is known once the beginning has been kept.
      const run = { ...closed.run, ...ended, stamp };
      await store.runEnded(run);
      return run;
    });
    kept.catch(parts.failed);
    // Without what they came to: each would hold on to the one before, and so to every run since the start.
    closing = Promise.allSettled([closing, kept]).then(() => undefined);
    kept.then(
      () => unkept.delete(id),
      () => unkept.delete(id),
    );
    const run = { ...closed.run, ...ended, stamp: first };
    parts.changed?.(run);
    const done = () => undefined;
    return { run, kept, stamped: stamped.then(done, done) };
  };

  /** Carries the steps out, and gives what the last beginning and the last end came to. */
  const follow = (
    steps: readonly RunStep[],
  ): { readonly begun: Keeping | null; readonly ended: Ending | null } => {
    let begun: Keeping | null = null;
    let ended: Ending | null = null;
    for (const step of steps) {
      if (step.step === "begin") begun = openRun(step.at, step.cause);
      else if (open === null) continue;
      else if (step.step === "end") ended = closeRun(open, step.at, step.cause);
      else open.stamper.mark(step.step === "mark" ? step.at : null);
    }
    return { begun, ended };
  };

  const notOpen = () => new AppError("run-not-open", "No run is open, so none can be ended.");

  return {
    take(reading, derived, extraction) {
      past.take({ reading, derived, extraction }, (old) => {
        open?.stamper.settle(old);
        for (const stamper of ending.keys()) stamper.settle(old);
      });
      const kind = kindOf.get(reading.channel);
      const begins = open !== null || (parts.beamBegins?.() ?? true);
      if (kind === "laser-on" && begins) follow(keeper.laser(reading));
      if (kind === "foot-switch") follow(keeper.footSwitch(reading));
    },
    tick(now) {
      follow(keeper.tick(now));
    },
    begin() {
      const keeping = open === null ? follow(keeper.begin(clock.now())).begun : null;
      if (keeping === null) throw openAlready(open?.run ?? null);
      return keeping;
    },
    end(id) {
      if (open === null) throw notOpen();
      if (open.run.id !== id) {
        throw new AppError("run-unknown", `That run is not the open one; run ${open.run.number} is.`);
      }
      const keeping = follow(keeper.end(clock.now())).ended;
      if (keeping === null) throw notOpen();
      return keeping;
    },
    current: () => open?.run ?? null,
    unkept: () => [...unkept.values()].reverse(),
    takeUp(before) {
      number = Math.max(number, before.lastNumber);
      if (enteredWall !== null || before.jobSheet === null) return;
      entered = before.jobSheet.settings;
      enteredWall = before.jobSheet.wall;
    },
    placed(kept) {
      // Another may have been entered since the journal was asked.
      if (kept !== null && JSON.stringify(kept.settings) === JSON.stringify(entered)) enteredWall = kept.wall;
    },
    hasBegun: (id) => begunHere.has(id),
    lastEndMono: () => lastEndMono,
    jobSheet: () => asked?.settings ?? entered,
    jobSheetWall: () => (asked === null ? enteredWall : asked.wall),
    setJobSheet(settings, at) {
      // An older page has the specimen of a run that was: what is entered while a plan runs names none.
      entered = asked === null ? settings : nextJobSheet(settings);
      enteredWall = at.wall;
    },
    entered: () => entered,
    askFor(settings, at) {
      // What is asked for already keeps its time.
      if (settings !== null && asked !== null && isSame(settings, asked.settings)) return;
      asked = settings === null ? null : { settings, wall: at.wall };
    },
    correct(id, settings) {
      if (open?.run.id === id) open.run = { ...open.run, settings };
      const ended = unkept.get(id);
      if (ended !== undefined) unkept.set(id, { ...ended, settings });
    },
    async shutDown() {
      // A laser that is off already has ended its run, if it does not come on again; and now it will not be seen to.
      const ended = keeper.pendingEnd();
      if (open !== null && ended !== null) closeRun(open, ended, "laser-on");
      else if (open !== null) closeRun(open, clock.now(), "station-stopped");
      for (const stampNow of ending.values()) stampNow();
      await closing;
    },
  };
}

function isSame(one: RunSettings, other: RunSettings): boolean {
  const keys = Object.keys(runSettingsSchema.shape) as (keyof RunSettings)[];
  return keys.every((key) => one[key] === other[key]);
}

/** @param run null where its number is not known */
export function openAlready(run: Pick<Run, "number"> | null): AppError {
  const which = run === null ? "A run" : `Run ${run.number}`;
  return new AppError("run-open", `${which} is open: end it before beginning another.`);
}

/** What the next run takes of this one's: never its specimen, or one piece would be named after another. */
function nextJobSheet({ specimen: _cut, ...settings }: RunSettings): RunSettings {
  return settings;
}
