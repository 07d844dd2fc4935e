import { randomUUID } from "node:crypto";
import { vi } from "vitest";
import { AppError } from "../../../station/errors.js";
import { unknownDisk } from "../../../station/journal/disk/judge.js";
import type { JobForecast } from "../../../station/model/coolant-forecast.js";
import type { SentEntry } from "../../../station/model/entry.js";
import type { NowSnapshot } from "../../../station/model/now.js";
import type { Run, RunSettings } from "../../../station/model/run.js";
import type { SoundnessView } from "../../../station/model/soundness.js";
import type { WorkshopFacts } from "../../../station/model/workshop.js";
import type { Services } from "../../../station/web/app.js";
import { NO_CAUTIONS } from "./no-cautions.js";
import { emptySnapshot } from "./snapshot.js";

export const run = { id: randomUUID(), number: 1, settings: {}, startWall: 0, endWall: 1 } as unknown as Run;
const unasked = async (): Promise<never> => {
  throw new Error("Nobody asks for it here.");
};
const SOUND: SoundnessView = { state: "sound", lookedWall: 0, text: "It is sound.", doubt: null };
/** What stands behind the web application, as little of it as can be. */
export const services = {
  now: {
    snapshot: () => ({ start: "x" }) as unknown as NowSnapshot,
    series: vi.fn(
      async (): Promise<Uint8Array> =>
        Buffer.from('{"channel":"a","unit":"Cel","from":0,"to":1,"buckets":[]}'),
    ),
    opticsCleaned: async () => ({ value: { cleanedWall: 5, agoMs: 0 }, kept: true }),
  },
  process: {
    forecasts: vi.fn(async (_days: number) => null),
    job: vi.fn((minutes: number) => ({ minutes, sentence: "It likely stays." }) as unknown as JobForecast),
    look: vi.fn(async (_by: string | null) => ({ value: emptySnapshot().afterCut, kept: true })),
    begin: async () => {
      throw new AppError("fire-watch-none", "Nothing was cut in the last half hour.");
    },
  },
  runs: {
    list: vi.fn(async () => ({ runs: [], more: false })),
    find: async (id: string) => (id === run.id ? { ...run, placed: null } : null),
    series: vi.fn(async () => ({ channel: "a", unit: "Cel" as const, from: 0, to: 1, buckets: [] })),
    begin: vi.fn(async (_settings: RunSettings | null) => ({ value: run, kept: true })),
    end: async () => {
      throw new AppError("run-not-open", "No run is open.");
    },
    correct: vi.fn(async (_id: string, settings: RunSettings) => ({
      value: { ...run, settings },
      kept: true,
    })),
    setJobSheet: vi.fn(async (settings: RunSettings) => ({ value: settings, kept: true })),
  },
  lots: {
    list: async () => [],
    find: unasked,
    put: vi.fn(async (id: string) => ({ value: { id }, kept: true })),
  },
  plans: {
    list: async () => [],
    text: unasked,
    table: unasked,
    preview: async () => ({ cuts: 1, sentences: [] }),
    lay: vi.fn(async (id: string) => ({ value: { id }, kept: true })),
    phase: unasked,
    checked: unasked,
    gradingSheet: unasked,
    outcome: unasked,
    again: unasked,
    enter: vi.fn(async (entries: readonly SentEntry[]) => ({
      value: entries.map(({ entry }) => ({ entry, became: "kept" as const, why: null })),
      kept: true,
    })),
  },
  labels: { labels: unasked, codesOf: unasked, engraved: () => "" },
  setup: {
    ...{ view: unasked, values: unasked, listen: unasked },
    ...{ preview: unasked, write: unasked, back: unasked, restart: () => undefined },
    ...{ thermometers: unasked, takePoint: unasked, forgetPoint: unasked },
  },
  photos: { add: unasked, find: unasked, lightness: unasked },
  decisions: { find: unasked, decided: unasked, sheet: unasked, onSheet: unasked },
  pastRuns: { list: async () => ({ runs: [], total: 0 }), take: unasked },
  review: {
    overview: async () => Buffer.from("{}"),
    badRun: vi.fn(async () => Buffer.from("{}")),
    materials: vi.fn(async () => Buffer.from("{}")),
    drift: vi.fn(async () => Buffer.from("{}")),
  },
  workshop: {
    view: async () => ({ facts: {}, focus: null }),
    put: async (facts: WorkshopFacts) => ({ value: facts, kept: true }),
    focusFor: unasked,
    maintenance: async () => ({ last: [], log: [] }),
    maintained: async () => ({ value: null, kept: true }),
    upkeepOf: async () => [],
  },
  alarms: {
    standing: () => [],
    suppressed: () => [],
    definitions: () => [],
    reset: vi.fn(async () => ({ value: null, kept: true })),
    shelve: vi.fn(async () => ({ value: null, kept: true })),
    unshelve: vi.fn(async () => ({ value: null, kept: true })),
    takeOutOfService: vi.fn(async () => ({ value: null, kept: true })),
    putInService: vi.fn(async () => ({ value: null, kept: true })),
    view: () => {
      throw new Error("Nobody asks for it here.");
    },
    set: vi.fn(async () => ({ value: null, kept: true })),
    toFile: vi.fn(async () => ({ value: null, kept: true })),
    history: vi.fn(async () => ({ history: [], more: false })),
    performance: unasked,
    log: vi.fn(async () => ({ transitions: [], more: false })),
    acknowledge: vi.fn(async () => ({ value: null, kept: true })),
  },
  marks: {
    marks: vi.fn(async () => ({
      runs: [],
      alarms: [],
      maintenance: [],
      clock: [],
      crowds: [],
    })),
    span: async () => ({ from: 5, to: 9 }),
  },
  cautions: NO_CAUTIONS,
  journal: { view: () => ({ file: "/somewhere/journal.sqlite", disk: unknownDisk(null), soundness: SOUND }) },
  tables: {
    runs: vi.fn(async function* (): AsyncGenerator<string> {
      yield "run,start\r\n";
      yield "1,now\r\n";
    }),
    alarms: vi.fn(async function* (): AsyncGenerator<string> {
      yield "time\r\n";
    }),
  },
  exports: {
    wall: () => 0,
    soundness: () => "sound" as const,
    view: () => ({ running: false, trouble: null }),
    readings: unasked,
    journal: unasked,
  },
  outward: {
    view: () => ({ simulated: false, quietHours: null, ways: [] }),
    test: vi.fn(async () => ({ sent: false, text: "nothing listens at this address and port" })),
  },
  backups: {
    view: async () => ({
      folder: null,
      at: null,
      nextWall: null,
      lastGoodWall: null,
      backups: [],
      running: false,
      trouble: null,
    }),
    makeNow: vi.fn(),
  },
  metrics: {
    version: "0.1.0",
    startedWall: () => 0,
    alarms: () => [],
    snapshot: () => emptySnapshot(),
    journal: () => ({
      ...{ writing: true, held: false, waiting: 0, dropped: 0, lastCommitMono: null, text: "" },
      ...{ commits: null, slow: false, wal: null },
    }),
    disk: () => unknownDisk(null),
    lastBackupWall: () => null,
  },
} satisfies Omit<Services, "access">;
