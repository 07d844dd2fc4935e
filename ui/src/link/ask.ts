import type { AfterCut } from "../../../station/model/after-cut.js";
import type { AlarmDefinition, AlarmTransition, StandingAlarm } from "../../../station/model/alarm.js";
import type { BackupsView } from "../../../station/model/backup.js";
import type {
  Caution,
  CheckList,
  CheckListId,
  CheckListNow,
  ExposureLimit,
  NeverCut,
} from "../../../station/model/caution.js";
import type { ForecastRecord, JobForecast } from "../../../station/model/coolant-forecast.js";
import type { DecisionAnswer, SettingsSheet } from "../../../station/model/decision.js";
import type { EmergencyFacts } from "../../../station/model/emergency.js";
import type { EntryBody, KeptEntry } from "../../../station/model/entry.js";
import type { ExportsView } from "../../../station/model/exports.js";
import type { JournalView } from "../../../station/model/journal.js";
import type { LightnessAsked, MeasuredAreas } from "../../../station/model/lightness.js";
import type { MaintenanceKind, MaintenanceView, Upkeep } from "../../../station/model/maintenance.js";
import type { JournalSpan, Marks } from "../../../station/model/marks.js";
import type { NowSnapshot, OpticsView, Problem, RunRow, Series } from "../../../station/model/now.js";
import type { OutwardView, WayTest } from "../../../station/model/outward.js";
import type { PastColumn, PastImport } from "../../../station/model/past-run.js";
import type { PlacedRun, Run, RunSettings } from "../../../station/model/run.js";
import type { GradingSheet, PlanView, SpecimenOutcome } from "../../../station/model/specimen.js";
import type { FocusView, WorkshopFacts } from "../../../station/model/workshop.js";
import { PAGE_HEADER } from "./page-header.js";
import { patience } from "./patience.js";
import { noteProblem } from "./turned-away.js";

/** The station, or the way to it, said no. `message` is for people. */
export class Refusal extends Error {
  /** Asking again cannot help: the station understood, and there is no such thing. */
  readonly final: boolean;
  /** What the station calls it; empty where it was not the station that refused. */
  readonly code: string;
  /** For a form: what was expected, by the name of the field. */
  readonly fields: ReadonlyMap<string, string>;

  constructor(
    message: string,
    { status = 0, errors = [], code = "" }: Partial<Pick<Problem, "status" | "errors" | "code">> = {},
  ) {
    super(message);
    this.name = "Refusal";
    this.code = code;
    this.final = status === 400 || status === 404;
    this.fields = new Map(errors.map(({ path, expected }) => [fieldOf(path), expected]));
  }
}

/** The last name in a path; of one in a list ("rungs.3") the list's. */
function fieldOf(path: string): string {
  return (
    path
      .split(/[./]/)
      .filter((part) => !/^\d+$/.test(part))
      .at(-1) ?? path
  );
}

export function refusalOf(reason: unknown): Refusal {
  return reason instanceof Refusal ? reason : new Refusal("This page made a mistake. Load it again.");
}

const ANSWER_WITHIN_MS = 15_000;

interface Sent {
  readonly body?: object;
  /** In the place of a body: sent as it is. */
  readonly file?: Blob;
  /** Gives the question up. */
  readonly signal?: AbortSignal;
}

/** One question to the station. @throws Refusal */
export async function call<T>(method: string, path: string, { body, file, signal }: Sent = {}): Promise<T> {
  const waiting = patience(ANSWER_WITHIN_MS, signal);
  try {
    const response = await fetch(`/api${path}`, {
      method,
      signal: waiting.signal,
      headers: {
        accept: "application/json",
        ...PAGE_HEADER,
        ...(body ? { "content-type": "application/json" } : {}),
      },
      ...(body ? { body: JSON.stringify(body) } : {}),
      ...(file ? { body: file } : {}),
    });
    const answer: unknown = await response.json().catch(() => null);
    if (response.ok && answer !== null) return answer as T;
    if (!waiting.signal.aborted) throw refusalIn(answer, response.status);
    throw new Error("The answer broke off.");
  } catch (error) {
    if (error instanceof Refusal) throw error;
    throw new Refusal(
      waiting.ranOut()
        ? `The station has not answered within ${ANSWER_WITHIN_MS / 1000} s. It may be busy: try again.`
        : "The station did not answer. Check that it is still on, then try again.",
    );
  } finally {
    waiting.end();
  }
}

function refusalIn(answer: unknown, status: number): Refusal {
  const problem = answer as Partial<Problem> | null;
  noteProblem(problem?.code);
  return new Refusal(
    problem?.detail ?? problem?.title ?? `The station answered with status ${status} and no reason.`,
    { status, errors: problem?.errors ?? [], code: problem?.code ?? "" },
  );
}

/** What an entry is sent with: an id, so that what is sent twice is kept once, and the screen's own name. */
type Signed<T> = T & { readonly entry: string; readonly by: string };

export type LoggedTransition = AlarmTransition & { readonly seq: number };

export interface CautionsAnswer {
  readonly statement: { readonly short: string; readonly long: readonly string[] };
  readonly cautions: readonly Caution[];
  readonly neverCut: readonly NeverCut[];
  readonly limits: readonly ExposureLimit[];
  readonly checklists: readonly CheckList[];
}

function searchOf(query: Readonly<Record<string, string | number>>): URLSearchParams {
  return new URLSearchParams(Object.entries(query).map(([name, value]) => [name, String(value)]));
}

/** Every question the pages ask of the station. Each rejects with a `Refusal`. */
export const ask = {
  now: () => call<NowSnapshot>("GET", "/now"),
  runs: (before: number | null, flagged: boolean) =>
    call<{ runs: RunRow[]; more: boolean }>(
      "GET",
      `/runs?${new URLSearchParams({
        limit: "50",
        ...(before === null ? {} : { before: String(before) }),
        ...(flagged ? { flagged: "true" } : {}),
      })}`,
    ),
  run: (id: string) => call<PlacedRun>("GET", `/runs/${encodeURIComponent(id)}`),
  runSeries: (id: string, channel: string, buckets: number) =>
    call<Series>(
      "GET",
      `/runs/${encodeURIComponent(id)}/series?${new URLSearchParams({ channel, buckets: String(buckets) })}`,
    ),
  /** @param settings null takes the station's job sheet as it is when the run begins */
  begin: (settings: RunSettings | null) =>
    call<Run>("POST", "/runs", { body: settings === null ? {} : { settings } }),
  end: (id: string) => call<Run>("POST", `/runs/${encodeURIComponent(id)}/end`, { body: {} }),
  correct: (id: string, settings: RunSettings) =>
    call<Run>("PATCH", `/runs/${encodeURIComponent(id)}/settings`, { body: settings }),
  enterJobSheet: (settings: RunSettings) => call<RunSettings>("PUT", "/job-sheet", { body: settings }),
  job: (minutes: number) => call<JobForecast>("GET", `/coolant/job?minutes=${minutes}`),
  forecasts: () => call<{ readonly record: ForecastRecord | null }>("GET", "/coolant/forecasts?days=3"),
  looked: (by: string) => call<AfterCut>("POST", "/fire-watch/looks", { body: { by } }),
  fireWatch: (by: string) => call<AfterCut>("POST", "/fire-watch", { body: { by } }),
  opticsCleaned: () => call<OpticsView>("POST", "/optics/cleaned", { body: {} }),
  alarms: () => call<{ standing: StandingAlarm[]; definitions: AlarmDefinition[] }>("GET", "/alarms"),
  alarmLog: (before: number | null) =>
    call<{ transitions: LoggedTransition[]; more: boolean }>(
      "GET",
      `/alarms/log?${new URLSearchParams({ limit: "50", ...(before === null ? {} : { before: String(before) }) })}`,
    ),
  acknowledge: (alarm: string, by: string) =>
    call<{ standing: StandingAlarm[] }>("POST", `/alarms/${encodeURIComponent(alarm)}/acknowledge`, {
      body: { by },
    }),
  series: (query: { channel: string; from: number; to: number; buckets: number }, signal: AbortSignal) =>
    call<Series>("GET", `/series?${searchOf(query)}`, { signal }),
  marks: (query: { from: number; to: number; limit: number }, signal: AbortSignal) =>
    call<Marks>("GET", `/marks?${searchOf(query)}`, { signal }),
  span: () => call<JournalSpan>("GET", "/span"),
  journal: () => call<JournalView>("GET", "/journal"),
  backups: () => call<BackupsView>("GET", "/backups"),
  backUpNow: () => call<BackupsView>("POST", "/backups", { body: {} }),
  outward: () => call<OutwardView>("GET", "/outward"),
  testWay: (way: string, by: string) =>
    call<WayTest>("POST", `/outward/${encodeURIComponent(way)}/test`, { body: { by } }),
  exports: () => call<ExportsView>("GET", "/exports"),
  plan: (id: string) => call<PlanView>("GET", `/plans/${encodeURIComponent(id)}`),
  specimen: (typed: string, grading: 1 | 2) =>
    call<GradingSheet>("GET", `/specimens/${encodeURIComponent(typed)}?grading=${grading}`),
  outcome: (code: string) => call<SpecimenOutcome>("GET", `/specimens/${encodeURIComponent(code)}/outcome`),
  decision: (plan: string) => call<DecisionAnswer>("GET", `/plans/${encodeURIComponent(plan)}/decision`),
  decide: (plan: string, body: Signed<EntryBody<"decision">>) =>
    call<DecisionAnswer>("POST", `/plans/${encodeURIComponent(plan)}/decision`, { body }),
  settingsSheet: (lot: string) => call<SettingsSheet>("GET", `/lots/${encodeURIComponent(lot)}/sheet`),
  putOnSheet: (lot: string, body: Signed<EntryBody<"sheet">>) =>
    call<SettingsSheet>("POST", `/lots/${encodeURIComponent(lot)}/sheet`, { body }),
  workshop: () => call<{ facts: WorkshopFacts; focus: FocusView | null }>("GET", "/workshop"),
  keepWorkshop: (facts: WorkshopFacts, by: string) =>
    call<WorkshopFacts>("PUT", "/workshop", { body: { facts, by } }),
  maintenance: () => call<MaintenanceView>("GET", "/maintenance"),
  maintained: (kind: MaintenanceKind, note: string) =>
    call<unknown>("POST", "/maintenance", { body: { kind, note } }),
  pastRuns: () => call<{ runs: KeptEntry<"past">[]; total: number }>("GET", "/past-runs"),
  pastColumns: () => call<{ columns: PastColumn[] }>("GET", "/past-runs/columns"),
  /** @param dry only says what would become of it */
  takePastRuns: (file: Blob, dry: boolean) =>
    call<PastImport>("POST", `/past-runs?${searchOf({ dry: String(dry) })}`, { file }),
  lightness: (sha256: string, asked: LightnessAsked) =>
    call<MeasuredAreas>("POST", `/photos/${sha256}.jpg/lightness`, { body: asked }),
  upkeepOf: (run: string) => call<{ upkeep: Upkeep[] }>("GET", `/runs/${encodeURIComponent(run)}/upkeep`),
  cautions: () => call<CautionsAnswer>("GET", "/cautions"),
  emergency: () => call<EmergencyFacts>("GET", "/emergency"),
  keepEmergency: (facts: EmergencyFacts, by: string) =>
    call<EmergencyFacts>("PUT", "/emergency", { body: { facts, by } }),
  /** @param items ids of all that was looked at */
  checked: (list: CheckListId, items: readonly string[], by: string) =>
    call<CheckListNow>("POST", `/checklists/${list}`, { body: { items, by } }),
};
