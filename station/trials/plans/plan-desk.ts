import { AppError } from "../../errors.js";
import type { AskTrials, KeepTrials, LatePlan, PlanRecord } from "../../journal/trials/calls.js";
import type { Entry, EntryAnswer } from "../../model/entry.js";
import type { Clock, Instant } from "../../model/instant.js";
import type { RunRow } from "../../model/now.js";
import type { CheckId, PlanFacts, PlanPhase } from "../../model/plan.js";
import type { Run, RunSettings } from "../../model/run.js";
import type { PlanView, Specimen, TrialNow } from "../../model/specimen.js";
import { type Kept, keptWithin } from "../kept.js";
import { runRowOf } from "../run-row.js";
import { newCode } from "../specimen-code.js";
import { createHandedOver, withLate } from "./handed-over.js";
import { type LaidSpecimen, layOutPlan, layOutRound } from "./laid-out.js";
import { checksEntry, phaseEntry } from "./own-entries.js";
import { planJobSheet } from "./plan-job-sheet.js";
import type { PlanSearch } from "./plan-search.js";
import { viewPlan } from "./plan-view.js";
import { trialNow } from "./trial-now.js";
import { coreOf, saysWhatIsNext } from "./what-is-next.js";

export interface PlanDeskParts {
  readonly clock: Clock;
  readonly keep: KeepTrials;
  readonly ask: AskTrials;
  readonly runs: {
    current(): Run | null;
    /** Runs that have ended and are still on their way to the disk. */
    unkept(): readonly Run[];
    /** What the next run is to take; null for what a person entered. */
    askFor(settings: RunSettings | null, at: Instant): void;
  };
  /** What a search tries next, and how it stands, in words; nothing to try once it has stopped. */
  readonly search: (view: PlanView) => Promise<PlanSearch>;
  /** Uniform from 0 to 1: for codes, which nobody may foresee or repeat. */
  readonly random: () => number;
  /** Calls what it is given in a while. */
  readonly later: (work: () => void) => void;
  /** Called as soon as something has changed that the pages look at. */
  readonly changed: () => void;
  /** Called when something could not be kept. */
  readonly failed: (error: unknown) => void;
}

export interface PlanDesk {
  /** Takes up the plan that was running before, from the journal. */
  takeUp(): Promise<void>;
  /** Keeps a plan with its specimens laid out. @throws AppError */
  lay(id: string, facts: PlanFacts): Promise<Kept<{ readonly id: string }>>;
  /** At most one plan runs: another that does is paused. @throws AppError `plan-unknown` */
  phase(id: string, phase: Exclude<PlanPhase, "ready">, by: string | null): Promise<Kept<TrialNow | null>>;
  /** @throws AppError `plan-not-running` */
  checked(
    id: string,
    block: number,
    done: readonly CheckId[],
    by: string | null,
  ): Promise<Kept<TrialNow | null>>;
  /** Grades and steps as a screen sends them. */
  enter(entries: readonly Entry[]): Promise<Kept<readonly EntryAnswer[]>>;
  /** Another specimen in the place of one, with a code of its own, at the end of its block. @throws AppError */
  again(code: string): Promise<Kept<Specimen>>;
  /** A run begins or ends. */
  runChanged(run: Run): void;
  /** A run has been given other settings than it had. */
  corrected(run: Run): void;
  now(): TrialNow | null;
  /** What is known of a plan and not on the disk yet, to be laid over what the journal says of it. */
  late(id: string): LatePlan;
}

/** Knows the plan that is running, and puts the next specimen on the job sheet, so that its run is its own. */
export function createPlanDesk(parts: PlanDeskParts): PlanDesk {
  const { clock, keep, ask, runs } = parts;
  /** Without what only a plan's page shows: it is looked through at every change, on the main thread. */
  let running: PlanRecord | null = null;
  let shown: { readonly view: PlanView; readonly now: TrialNow } | null = null;
  /** How the search stands, of the plan that is running. */
  let found: readonly string[] = [];
  const handedOver = createHandedOver(runs);
  /** Codes that were given since this start: what has one may be on its way to the disk, where nobody finds it yet. */
  const given = new Set<string>();
  let tryingAgain = false;
  /** What asks the journal and goes by its answer is done one after another. */
  let turn: Promise<unknown> = Promise.resolve();
  const inTurn = <T>(work: () => Promise<T>): Promise<T> => {
    const done = turn.then(work);
    turn = done.catch(() => undefined);
    return done;
  };

  /** @param search false: nothing new is laid out for it */
  function look(search = true): void {
    const record = running;
    if (record === null) shown = null;
    else {
      const view = viewPlan(record);
      if (view.phase !== "running") {
        running = null;
        shown = null;
      } else shown = { view, now: trialNow(view, found) };
    }
    putOnJobSheet();
    parts.changed();
    if (search && shown?.view.facts.layout.method === "search") lookForNextRound(shown.view);
  }

  function putOnJobSheet(): void {
    runs.askFor(shown === null ? null : planJobSheet(shown.now), clock.now());
  }

  /** Looks how the search stands, and lays the next round out once nothing of the last one is left to do. */
  function lookForNextRound(view: PlanView): void {
    inTurn(async () => {
      if (shown?.view !== view) return;
      const answer = await parts.search(view);
      // What came in meanwhile has made another view, which is searched after this one.
      if (shown?.view !== view) return;
      found = answer.found;
      shown = { view, now: trialNow(view, found) };
      parts.changed();
      if (view.need.need !== "nothing" || answer.tries.length === 0) return;
      const block = view.blocks.length + 1;
      const round = await withCodes((codeOf) => layOutRound(view.facts, block, answer.tries, codeOf));
      if (shown?.view === view) add(view.id, round).catch(() => undefined);
    }).catch(parts.failed);
  }

  /** Specimens count at once; those that the journal refuses are taken out again. */
  function add(id: string, laid: readonly LaidSpecimen[]): Promise<unknown> {
    const specimens = laid.map((each): Specimen => ({ ...each, plan: id }));
    const keeping = keep("specimensAdded", { id, specimens: laid });
    handedOver.specimens(specimens, keeping);
    if (running?.plan.id === id) {
      running = withLate(running, coreOf(handedOver.late(id)));
      look();
    }
    keeping.catch(lookAnew);
    return keeping;
  }

  async function withCodes<T>(make: (codeOf: () => string) => T): Promise<T> {
    const taken = new Set(await ask("codes", null));
    return make(() => {
      const code = newCode(parts.random, (each) => taken.has(each) || given.has(each));
      given.add(code);
      return code;
    });
  }

  /** What is entered counts at once; what the journal refuses is taken out again. */
  function enter(entries: readonly Entry[]): Promise<Kept<readonly EntryAnswer[]>> {
    const at = clock.now();
    const keeping = keep("entriesKept", { entries, at });
    handedOver.entries(entries, at.wall, keeping);
    if (running !== null && entries.some(saysWhatIsNext)) {
      const before = running.entries.length;
      running = withLate(running, coreOf(handedOver.late(running.plan.id)));
      if (running.entries.length > before) look();
    }
    keeping.catch(lookAnew);
    return keptWithin(
      keeping,
      entries.map(({ entry }) => ({ entry, became: "kept" as const, why: null })),
    );
  }

  /** Something was not kept. The same may be there from before, or by another call: the journal knows. */
  function lookAnew(error: unknown): void {
    parts.failed(error);
    inTurn(async () => {
      const loaded = running === null ? null : await load(running.plan.id);
      if (loaded === null || running?.plan.id !== loaded.plan.id) return;
      running = loaded;
      look(false);
    }).catch(parts.failed);
    // Not at once: what refuses now refuses the next one too.
    if (tryingAgain) return;
    tryingAgain = true;
    parts.later(() => {
      tryingAgain = false;
      look();
    });
  }

  function load(id: string): Promise<PlanRecord | null> {
    return handedOver.whileReading(async () => {
      const record = await ask("planCore", id);
      return record === null ? null : withLate(record, coreOf(handedOver.late(id)));
    });
  }

  /** The ids of all plans that run, whatever this desk knows of it. */
  async function runningPlans(): Promise<string[]> {
    const plans = await ask("plans", null);
    const ids = plans.filter((each) => each.phase === "running").map(({ plan }) => plan.id);
    return running === null ? ids : [...new Set([...ids, running.plan.id])];
  }

  return {
    takeUp: () =>
      inTurn(async () => {
        if (running !== null) return;
        const [last] = await runningPlans();
        if (last === undefined) return;
        running = await load(last);
        look();
      }),
    async lay(id, facts) {
      const keeping = await inTurn(async () => {
        const specimens = await withCodes((codeOf) => layOutPlan(facts, codeOf));
        // Not waited for in turn: the disk may take its time.
        return { kept: keep("planLaid", { id, facts, specimens, at: clock.now() }) };
      });
      return keptWithin(
        keeping.kept.then((plan) => ({ id: plan.id })),
        { id },
      );
    },
    async phase(id, to, by) {
      const entered = await inTurn(async () => {
        const others = to === "running" ? (await runningPlans()).filter((other) => other !== id) : [];
        // Last: what comes in after it finds the plan running.
        const record = running?.plan.id === id ? running : await load(id);
        if (record === null) throw new AppError("plan-unknown", "The journal has no plan of this id.");
        const entries = [...others.map((other) => phaseEntry(other, "paused", by)), phaseEntry(id, to, by)];
        if (to === "running" && running?.plan.id !== id) {
          found = [];
          running = record;
        }
        return { kept: enter(entries) };
      });
      const { kept } = await entered.kept;
      return { value: shown?.now ?? null, kept };
    },
    async checked(id, block, done, by) {
      if (running?.plan.id !== id)
        throw new AppError("plan-not-running", "This plan is not running: begin it or go on with it first.");
      const { kept } = await enter([checksEntry(id, block, done, by)]);
      return { value: shown?.now ?? null, kept };
    },
    enter,
    async again(code) {
      const { value, kept } = await inTurn(async () => {
        const specimen = handedOver.specimen(code) ?? (await ask("specimen", code));
        if (specimen === null)
          throw new AppError("specimen-unknown", `No specimen has the code ${code}: look at it again.`);
        const record = running?.plan.id === specimen.plan ? running : await load(specimen.plan);
        const all = record?.specimens ?? [];
        const there = all.find(({ replaces }) => replaces === code);
        // Pressed twice, it is still one.
        if (there !== undefined) return { value: there, kept: Promise.resolve<unknown>(null) };
        const places = all.filter(({ block }) => block === specimen.block).map(({ place }) => place);
        const place = Math.max(0, ...places) + 1;
        const { plan, ...planned } = specimen;
        const made = await withCodes((codeOf) => ({ ...planned, code: codeOf(), place, replaces: code }));
        return { value: { ...made, plan }, kept: add(plan, [made]) };
      });
      return keptWithin(
        kept.then(() => value),
        value,
      );
    },
    runChanged: takeRun,
    corrected: takeRun,
    now: () => shown?.now ?? null,
    late: (id) => handedOver.late(id),
  };

  function takeRun(run: Run): void {
    const record = running;
    if (record === null) return;
    const known = record.runs.some(({ id }) => id === run.id);
    const its = record.specimens.some(({ code }) => code === run.settings.specimen);
    if (!known && !its) return;
    const others = record.runs.filter(({ id }) => id !== run.id);
    const all: readonly RunRow[] = its ? [...others, runRowOf(run)] : others;
    running = { ...record, runs: [...all].sort((a, b) => a.number - b.number) };
    look();
  }
}
