import { randomUUID } from "node:crypto";
import type { DerivedValue } from "../conditions/deriver.js";
import { AppError } from "../errors.js";
import type { Clock, Instant } from "../model/instant.js";
import type { ChannelKind } from "../model/quantity.js";
import type { Reading } from "../model/reading.js";
import type { Run, RunEnd, RunSettings } from "../model/run.js";
import { createRunKeeper, type RunStep } from "./run-keeper.js";
import {
  type Before,
  closeStamp,
  copyStamp,
  openStamp,
  type StampFold,
  type StampRules,
  stampReading,
} from "./stamp.js";

/** Where runs are kept. Each promise resolves once the row is on the disk. */
export interface RunStore {
  /** Answers with the run as kept: the journal gives it its number. */
  runBegun(run: Run): Promise<Run>;
  runEnded(run: Run): Promise<void>;
}

export interface RunDesk {
  /** Every reading, in order, with what was derived from it. */
  take(reading: Reading, derived: readonly DerivedValue[]): void;
  tick(now: Instant): void;
  /** @throws AppError `run-open`. Resolves once the run is on the disk. */
  begin(settings: RunSettings | null): Promise<Run>;
  /** @throws AppError `run-not-open`, `run-unknown` (another run is open). Resolves once the stamp is on the disk. */
  end(id: string): Promise<Run>;
  current(): Run | null;
  /** When the last run since this start of the station ended, monotonic milliseconds; null if none has. */
  lastEndMono(): number | null;
  /** What the next run will take. */
  jobSheet(): RunSettings;
  /** Wall time at which it was entered; null if nothing has been. */
  jobSheetWall(): number | null;
  setJobSheet(settings: RunSettings, at: Instant): void;
  /** Corrects what was entered for the open run. */
  correct(settings: RunSettings): void;
  /** Closes an open run, as the station is being shut down. */
  shutDown(): Promise<void>;
}

export interface RunDeskParts {
  readonly clock: Clock;
  readonly rules: StampRules;
  readonly joinGapMs: number;
  readonly store: RunStore;
  /** The state of the line as it is now. */
  readonly before: () => Before;
  /** Hours since the optics were cleaned, at `now`; null if never. */
  readonly opticsHours: (now: Instant) => number | null;
  readonly simulated: boolean;
  readonly lastNumber: number;
  /** As last entered, with the wall time of that; null if never. */
  readonly jobSheet: { readonly settings: RunSettings; readonly wall: number } | null;
  /** Called when a run could not be kept; the alarm of the journal says the same to everybody. */
  readonly failed: (error: unknown) => void;
}

interface OpenRun {
  run: Run;
  readonly fold: StampFold;
  /** The fold as it stood when the laser went off, should the run turn out to have ended there. */
  marked: StampFold | null;
  readonly kept: Promise<Run>;
}

/** Opens, stamps and closes runs. The stamp is worked out here, as the readings pass: it never waits for the disk. */
export function createRunDesk(parts: RunDeskParts): RunDesk {
  const { clock, rules, store } = parts;
  const keeper = createRunKeeper({ joinGapMs: parts.joinGapMs });
  const kindOf = new Map<string, ChannelKind>(rules.definitions.map(({ id, kind }) => [id, kind]));
  let open: OpenRun | null = null;
  let jobSheet = parts.jobSheet?.settings ?? {};
  let jobSheetWall = parts.jobSheet?.wall ?? null;
  let number = parts.lastNumber;
  let lastEndMono: number | null = null;
  /** Ends of runs that are on their way to the disk. */
  let closing: Promise<unknown> = Promise.resolve();

  const follow = (step: RunStep | null): Promise<Run> | null => {
    if (step === null) return null;
    if (step.step === "begin") return openRun(step.at, step.cause);
    if (step.step === "end") return closeRun(step.at, step.cause);
    if (open !== null) open.marked = step.step === "mark" ? copyStamp(open.fold) : null;
    return null;
  };

  /** A run that begins or ends by itself has nobody to answer to: a failure goes to the log. */
  const followAlone = (step: RunStep | null): void => {
    follow(step)?.catch(parts.failed);
  };

  const openRun = (at: Instant, cause: Run["cause"]): Promise<Run> => {
    number += 1;
    const run: Run = {
      id: randomUUID(),
      number,
      cause,
      startWall: at.wall,
      startMono: at.mono,
      bootId: clock.bootId,
      clockAtStart: clock.state(),
      settings: jobSheet,
      simulated: parts.simulated,
      endWall: null,
      endMono: null,
      endCause: null,
      stamp: null,
    };
    const kept = store.runBegun(run);
    const opened: OpenRun = { run, fold: openStamp(rules, at.mono, parts.before()), marked: null, kept };
    open = opened;
    return kept.then((stored) => {
      number = Math.max(number, stored.number);
      opened.run = { ...opened.run, number: stored.number };
      return opened.run;
    });
  };

  const closeRun = (at: Instant, cause: RunEnd): Promise<Run> => {
    if (open === null)
      return Promise.reject(new AppError("run-not-open", "No run is open, so none can be ended."));
    const { fold, marked, kept } = open;
    const closed = open;
    open = null;
    lastEndMono = at.mono;
    const facts = { clockAtEnd: clock.state(), opticsHours: parts.opticsHours(at), endCause: cause };
    const stamp = closeStamp(cause === "laser-on" ? (marked ?? fold) : fold, rules, closed.run, at, facts);
    const end = { endWall: at.wall, endMono: at.mono, endCause: cause, stamp };
    const stored = kept.then(async () => {
      // The number is the journal's, and is known once the beginning has been kept.
      const run = { ...closed.run, ...end };
      await store.runEnded(run);
      return run;
    });
    closing = Promise.allSettled([closing, stored]);
    return stored;
  };

  return {
    take(reading, derived) {
      if (open !== null) {
        const { extraction } = parts.before();
        stampReading(open.fold, reading, derived, extraction);
      }
      const kind = kindOf.get(reading.channel);
      if (kind === "laser-on") followAlone(keeper.laser(reading));
      if (kind === "foot-switch") followAlone(keeper.footSwitch(reading));
    },
    tick: (now) => followAlone(keeper.tick(now)),
    async begin(settings) {
      if (open !== null) {
        throw new AppError("run-open", `Run ${open.run.number} is open: end it before beginning another.`);
      }
      const now = clock.now();
      if (settings !== null) {
        jobSheet = settings;
        jobSheetWall = now.wall;
      }
      const run = follow(keeper.begin(now));
      if (run === null) throw new AppError("run-open", "A run is open: end it before beginning another.");
      return run;
    },
    async end(id) {
      if (open === null) throw new AppError("run-not-open", "No run is open, so none can be ended.");
      if (open.run.id !== id) {
        throw new AppError("run-unknown", `That run is not the open one; run ${open.run.number} is.`);
      }
      const run = follow(keeper.end(clock.now()));
      if (run === null) throw new AppError("run-not-open", "No run is open, so none can be ended.");
      return run;
    },
    current: () => open?.run ?? null,
    lastEndMono: () => lastEndMono,
    jobSheet: () => jobSheet,
    jobSheetWall: () => jobSheetWall,
    setJobSheet(settings, at) {
      jobSheet = settings;
      jobSheetWall = at.wall;
    },
    correct(settings) {
      if (open !== null) open.run = { ...open.run, settings };
    },
    async shutDown() {
      if (open !== null) await closeRun(clock.now(), "station-stopped").catch(parts.failed);
      await closing;
    },
  };
}
