import { createHash, randomUUID } from "node:crypto";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { type Journal, openJournal } from "../../station/journal/journal.js";
import { openReader } from "../../station/journal/reader.js";
import type { Entry } from "../../station/model/entry.js";
import type { Instant } from "../../station/model/instant.js";
import type { PlanFacts } from "../../station/model/plan.js";
import type { Run, Stamp } from "../../station/model/run.js";
import { createRandom } from "../../station/random.js";
import { layOutPlan } from "../../station/trials/plans/laid-out.js";
import { newCode } from "../../station/trials/specimen-code.js";
import { type BenchResult, quantile } from "./result.js";

const PHOTOS_EACH = 10;
const ASKED = 30;
const BUDGET_MS = 100;
const AT: Instant = { wall: Date.UTC(2026, 4, 4), mono: 1000 };
const LOTS = [randomUUID(), randomUUID()];
const PLAN = randomUUID();

/** One plan of 500 specimens in 25 rungs of 10 blocks, each graded in ten properties, with ten photos: 5,000 in all. */
const FACTS: PlanFacts = {
  title: "A long plan",
  lots: LOTS,
  layout: {
    method: "ladder",
    vary: "speed",
    rungs: Array.from({ length: 25 }, (_, i) => 10 + i),
    replicates: 10,
  },
  power_pct: 60,
  passes: 1,
  spacers_mm: [7, 7],
  properties: ["through", "back_fuzz"],
  blind: true,
  second_share: 0.2,
  checks: [],
  seed: 7,
};
const PROPERTIES = [
  ...[
    "through",
    "back_fuzz",
    "edge_darkness",
    "residue",
    "engraving",
    "cleaning",
    "paint_face",
    "paint_edge",
  ],
  ...["sanding", "press_out_N"],
];

/** What the pages of trials ask, with 500 specimens and 5,000 photos in the journal: from the main thread and back. */
export async function benchTrials(): Promise<BenchResult[]> {
  const folder = mkdtempSync(join(tmpdir(), "journal-trials-"));
  const session = { start: "bench", bootId: "bench", at: AT, clock: "synchronised", version: "0" } as const;
  const journal = openJournal({ folder, session: { ...session, simulated: true, configHash: "" } });
  const reader = openReader({ folder });
  try {
    const [code = ""] = await fill(journal);
    // Opens the reading side.
    await reader.trials("lots", null);
    const before = process.memoryUsage().rss;
    const asked = [
      ["the list of plans", () => reader.trials("plans", null)],
      [
        "a plan of 500 specimens",
        () => reader.trials("plan", { id: PLAN, late: { entries: [], specimens: [], runs: [] } }),
      ],
      ["the list of lots", () => reader.trials("lots", null)],
      ["the photos of a specimen", () => reader.trials("entriesOf", { kind: "photo", subject: code })],
    ] as const;
    const results: BenchResult[] = [];
    for (const [what, ask] of asked) {
      const { median, longest } = await took(ask);
      const against = { baseline: BUDGET_MS, against: "the budget", unit: "ms" };
      results.push(
        { ...against, name: `${what}, median of ${ASKED}`, value: median, bound: { atMost: 1 } },
        // The first is among them, which reads what is remembered afterwards.
        { ...against, name: `${what}, the longest of ${ASKED}`, value: longest, bound: null },
      );
    }
    return [
      ...results,
      {
        ...{ name: `memory after ${ASKED * asked.length} questions`, value: process.memoryUsage().rss / 1e6 },
        ...{ baseline: before / 1e6, against: "before them", unit: "MB", bound: { atMost: 1.5 } },
      },
    ];
  } finally {
    await reader.close();
    await journal.close();
    rmSync(folder, { recursive: true, force: true });
  }
}

async function took(ask: () => Promise<unknown>): Promise<{ median: number; longest: number }> {
  const times: number[] = [];
  for (let i = 0; i < ASKED; i++) {
    const since = performance.now();
    await ask();
    times.push(performance.now() - since);
  }
  return { median: quantile(times, 0.5), longest: Math.max(...times) };
}

/** @returns the codes of the specimens */
async function fill(journal: Journal): Promise<string[]> {
  for (const id of LOTS) {
    const facts = { product: "Board", stock: "mdf", nominal_mm: 3 } as const;
    await journal.trials("lotKept", { id, facts, at: AT, by: null });
  }
  const taken = new Set<string>();
  const random = createRandom(1);
  const specimens = layOutPlan(FACTS, () => {
    const code = newCode(random, (each) => taken.has(each));
    taken.add(code);
    return code;
  });
  await journal.trials("planLaid", { id: PLAN, facts: FACTS, specimens, at: AT });
  for (const { code, setting } of specimens) {
    const entries = [...PROPERTIES.map((property) => grade(code, property)), ...photos(code)];
    await journal.trials("entriesKept", { entries, at: AT });
    await run(journal, code, setting.speed_mm_s);
  }
  return [...taken];
}

async function run(journal: Journal, specimen: string, speed_mm_s: number): Promise<void> {
  const begun: Run = {
    id: randomUUID(),
    number: 0,
    cause: "screen",
    startWall: AT.wall,
    startMono: AT.mono,
    bootId: "bench",
    clockAtStart: "synchronised",
    settings: { specimen, speed_mm_s },
    simulated: true,
    endWall: null,
    endMono: null,
    endCause: null,
    stamp: null,
  };
  await journal.runBegun(begun);
  const stamp: Stamp = {
    method: 2,
    startWall: AT.wall,
    startMono: AT.mono,
    endWall: AT.wall + 60_000,
    endMono: AT.mono + 60_000,
    bootId: "bench",
    clockAtStart: "synchronised",
    clockAtEnd: "synchronised",
    minGoodShare: 0.8,
    coolantRange: { low: 16, high: 21 },
    opticsHours: null,
    channels: {},
    conditions: {},
    flags: [],
    simulated: true,
  };
  const end = { endWall: AT.wall + 60_000, endMono: AT.mono + 60_000, endCause: "screen", stamp } as const;
  await journal.runEnded({ ...begun, ...end });
}

function grade(subject: string, property: string): Entry {
  const body = { value: 1, grading: 1 } as const;
  return { entry: randomUUID(), kind: "grade", subject, property, body, enteredWall: AT.wall, by: "phone" };
}

function photos(subject: string): Entry[] {
  return Array.from({ length: PHOTOS_EACH }, (_, i) => {
    const sha256 = createHash("sha256").update(`${subject} ${i}`).digest("hex");
    const body = { sha256, width: 2048, height: 1536, bytes: 400_000, takenAt: null, note: "" };
    return {
      entry: randomUUID(),
      kind: "photo",
      subject,
      property: "",
      body,
      enteredWall: null,
      by: "phone",
    };
  });
}
