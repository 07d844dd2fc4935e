import { randomUUID } from "node:crypto";
import { AppError } from "../../errors.js";
import type { PlanRecord, TrialActionMap, TrialReads } from "../../journal/trials/calls.js";
import type { Entry, EntryAnswer, KeptEntry } from "../../model/entry.js";
import type { Clock, Instant } from "../../model/instant.js";
import type { RunRow } from "../../model/now.js";
import type { CheckId, PlanFacts, PlanPhase } from "../../model/plan.js";
import type { Run, RunSettings } from "../../model/run.js";
import type { PlanView, Specimen, TrialNow } from "../../model/specimen.js";
import { type Kept, keptWithin } from "../kept.js";
import { runRowOf } from "../run-record.js";
import { newCode } from "../specimen-code.js";
import { type LaidSpecimen, layOutPlan, layOutRound } from "./laid-out.js";
import type { PlanSearch } from "./plan-search.js";
import { viewPlan } from "./plan-view.js";
import { trialNow } from "./trial-now.js";

type Keep = <K extends keyof TrialActionMap>(
  name: K,
  params: TrialActionMap[K]["params"],
) => Promise<TrialActionMap[K]["result"]>;
type Ask = <K extends keyof TrialReads>(
  question: K,
  params: TrialReads[K]["params"],
) => Promise<TrialReads[K]["result"]>;

export interface PlanDeskParts {
  readonly clock: Clock;
  readonly keep: Keep;
  readonly ask: Ask;
  readonly runs: {
    current(): Run | null;
    jobSheet(): RunSettings;
    setJobSheet(settings: RunSettings, at: Instant): void;
  };
  /** What a search tries next, and how it stands, in words; nothing to try once it has stopped. */
  readonly search: (view: PlanView) => Promise<PlanSearch>;
  /** Uniform from 0 to 1: for codes, which nobody may foresee or repeat. */
  readonly random: () => number;
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
  /** Somebody has entered another job sheet. */
  jobSheetEntered(): void;
  /** A run has been given other settings than it had. */
  corrected(run: Run): void;
  now(): TrialNow | null;
  /** The plan that is running, as it stands with what is not on the disk yet; null where it is not this one. */
  view(id: string): PlanView | null;
}

/** Knows the plan that is running, and puts the next specimen on the job sheet, so that its run is its own. */
export function createPlanDesk(parts: PlanDeskParts): PlanDesk {
  const { clock, keep, ask, runs } = parts;
  let running: PlanRecord | null = null;
  let shown: { readonly view: PlanView; readonly now: TrialNow } | null = null;
  /** How the search stands, of the plan that is running. */
  let found: readonly string[] = [];
  let searching: Promise<unknown> = Promise.resolve();

  function look(): void {
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
    if (shown?.view.facts.layout.method === "search") search(shown.view);
  }

  /** The specimen that is next, or none: never the last one. */
  function putOnJobSheet(): void {
    const sheet = runs.jobSheet();
    const next = shown?.now.need.need === "nothing" ? null : (shown?.now.specimen ?? null);
    const wanted = next === null || shown?.now.need.need === "checks" ? null : next;
    if (wanted === null) {
      if (sheet.specimen === undefined || (running === null && !ours.has(sheet.specimen))) return;
      const { specimen: _none, ...others } = sheet;
      runs.setJobSheet(others, clock.now());
      return;
    }
    ours.add(wanted.code);
    if (sheet.specimen === wanted.code && sheet.speed_mm_s === wanted.setting.speed_mm_s) return;
    const { focus_spacer_mm: _spacer, air_assist: _air, note: _note, ...kept } = sheet;
    runs.setJobSheet(
      {
        ...kept,
        ...wanted.setting,
        specimen: wanted.code,
        lot: wanted.lotName.slice(0, 40),
        material: wanted.lotName.slice(0, 80),
      },
      clock.now(),
    );
  }
  /** Codes that this desk has put on the job sheet. */
  const ours = new Set<string>();

  /** Looks how the search stands, and lays the next round out once nothing of the last one is left to do. */
  function search(view: PlanView): void {
    const reckon = async () => {
      if (shown?.view !== view) return;
      const answer = await parts.search(view);
      // What came in meanwhile has made another view, which is searched after this one.
      if (shown?.view !== view) return;
      found = answer.found;
      shown = { view, now: trialNow(view, found) };
      parts.changed();
      if (view.need.need !== "nothing" || answer.tries.length === 0) return;
      const block = view.blocks.length + 1;
      await add(view.id, await withCodes((codeOf) => layOutRound(view.facts, block, answer.tries, codeOf)));
    };
    searching = searching.then(reckon).catch(parts.failed);
  }

  async function add(id: string, specimens: readonly LaidSpecimen[]): Promise<void> {
    await keep("specimensAdded", { id, specimens });
    if (running?.plan.id !== id) return;
    const planned = specimens.map((each): Specimen => ({ ...each, plan: id }));
    const all = [...running.specimens, ...planned].sort((a, b) => a.block - b.block || a.place - b.place);
    running = { ...running, specimens: all };
    look();
  }

  async function withCodes<T>(make: (codeOf: () => string) => T): Promise<T> {
    const taken = new Set(await ask("codes", null));
    return make(() => {
      const code = newCode(parts.random, (each) => taken.has(each));
      taken.add(code);
      return code;
    });
  }

  /** What is entered counts at once; what the journal refuses is taken out again. */
  async function enter(entries: readonly Entry[]): Promise<Kept<readonly EntryAnswer[]>> {
    const at = clock.now();
    const codes = new Set(running?.specimens.map(({ code }) => code));
    const here = entries.filter(
      ({ entry, subject }) =>
        (codes.has(subject) || subject === running?.plan.id) &&
        running?.entries.every((known) => known.entry !== entry),
    );
    if (running !== null && here.length > 0) {
      const last = running.entries.at(-1)?.id ?? 0;
      const added = here.map((entry, i) => ({ ...entry, id: last + i + 1, wall: at.wall }) as KeptEntry);
      running = { ...running, entries: [...running.entries, ...added] };
      look();
    }
    const keeping = keep("entriesKept", { entries, at });
    keeping.catch((error: unknown) => {
      parts.failed(error);
      if (here.length > 0) reload().catch(parts.failed);
    });
    return keptWithin(
      keeping,
      entries.map(({ entry }) => ({ entry, became: "kept" as const, why: null })),
    );
  }

  async function reload(): Promise<void> {
    if (running === null) return;
    running = await ask("planRecord", running.plan.id);
    look();
  }

  async function phase(id: string, to: Exclude<PlanPhase, "ready">, by: string | null) {
    const record = running?.plan.id === id ? running : await ask("planRecord", id);
    if (record === null) throw new AppError("plan-unknown", "The journal has no plan of this id.");
    const entries = [phaseEntry(id, to, by)];
    if (to === "running") {
      if (running !== null && running.plan.id !== id)
        entries.unshift(phaseEntry(running.plan.id, "paused", by));
      running = record;
      found = [];
    }
    const { kept } = await enter(entries);
    return { value: shown?.now ?? null, kept };
  }

  return {
    async takeUp() {
      const plans = await ask("plans", null);
      const last = plans.find((each) => each.phase === "running");
      if (last === undefined || running !== null) return;
      running = await ask("planRecord", last.plan.id);
      look();
    },
    async lay(id, facts) {
      const specimens = await withCodes((codeOf) => layOutPlan(facts, codeOf));
      const keeping = keep("planLaid", { id, facts, specimens, at: clock.now() });
      return keptWithin(
        keeping.then((plan) => ({ id: plan.id })),
        { id },
      );
    },
    phase,
    async checked(id, block, done, by) {
      if (running?.plan.id !== id)
        throw new AppError("plan-not-running", "This plan is not running: begin it or go on with it first.");
      const body = { block, done: [...done] };
      const { kept } = await enter([{ ...newEntry(by), kind: "checks", subject: id, property: "", body }]);
      return { value: shown?.now ?? null, kept };
    },
    enter,
    async again(code) {
      const specimen = await ask("specimen", code);
      if (specimen === null)
        throw new AppError("specimen-unknown", `No specimen has the code ${code}: look at it again.`);
      const record = running?.plan.id === specimen.plan ? running : await ask("planRecord", specimen.plan);
      const there = record?.specimens.find(({ replaces }) => replaces === code);
      // Pressed twice, it is still one.
      if (there !== undefined) return { value: there, kept: true };
      const places = record?.specimens.filter(({ block }) => block === specimen.block) ?? [];
      const place = Math.max(0, ...places.map((each) => each.place)) + 1;
      const [made] = await withCodes((codeOf): LaidSpecimen[] => {
        const { plan: _plan, ...planned } = specimen;
        return [{ ...planned, code: codeOf(), place, replaces: code }];
      });
      const value = { ...(made as LaidSpecimen), plan: specimen.plan };
      return keptWithin(
        add(specimen.plan, [made as LaidSpecimen]).then(() => value),
        value,
      );
    },
    jobSheetEntered: putOnJobSheet,
    runChanged: takeRun,
    corrected: takeRun,
    now: () => shown?.now ?? null,
    view: (id) => (shown?.view.id === id ? shown.view : null),
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

function newEntry(by: string | null) {
  return { entry: randomUUID(), enteredWall: null, by };
}

function phaseEntry(id: string, to: Exclude<PlanPhase, "ready">, by: string | null): Entry<"phase"> {
  return { ...newEntry(by), kind: "phase", subject: id, property: "", body: { phase: to } };
}
