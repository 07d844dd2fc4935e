import type { LatePlan, PlanRecord } from "../../journal/trials/calls.js";
import type { Entry, KeptEntry } from "../../model/entry.js";
import type { RunRow } from "../../model/now.js";
import type { Run } from "../../model/run.js";
import type { Specimen } from "../../model/specimen.js";
import { runRowOf } from "../run-row.js";

/** What was handed to the journal and is not on the disk yet: whoever reads that does not see it. */
export interface HandedOver {
  /** Until `keeping` is settled; of what is handed over several times until all of them are. */
  entries(entries: readonly Entry[], wall: number, keeping: Promise<unknown>): void;
  specimens(specimens: readonly Specimen[], keeping: Promise<unknown>): void;
  specimen(code: string): Specimen | null;
  /** All there is, and of specimens those of this plan: `withLate` takes what belongs to it. */
  late(plan: string): LatePlan;
  /**
   * While the journal is being read nothing that has reached the disk is forgotten, for the answer may be older than that; what
   * was refused is, at once.
   */
  whileReading<T>(read: () => Promise<T>): Promise<T>;
}

export function createHandedOver(runs: { current(): Run | null; unkept(): readonly Run[] }): HandedOver {
  const entries = new Map<string, { readonly kept: KeptEntry; times: number }>();
  const specimens = new Map<string, Specimen>();
  let reading = 0;
  let reached: (() => void)[] = [];

  const settled = (keeping: Promise<unknown>, forget: () => void) =>
    void keeping.then(() => (reading === 0 ? forget() : void reached.push(forget)), forget);

  return {
    entries(given, wall, keeping) {
      for (const each of given) {
        const there = entries.get(each.entry);
        // Behind all that is on the disk, in the order in which they were handed over.
        const kept = { ...each, id: Number.MAX_SAFE_INTEGER, wall } as KeptEntry;
        entries.set(each.entry, { kept: there?.kept ?? kept, times: (there?.times ?? 0) + 1 });
      }
      settled(keeping, () => {
        for (const { entry } of given) {
          const there = entries.get(entry);
          if (there === undefined) continue;
          there.times -= 1;
          if (there.times === 0) entries.delete(entry);
        }
      });
    },
    specimens(given, keeping) {
      for (const each of given) specimens.set(each.code, each);
      settled(keeping, () => {
        for (const { code } of given) specimens.delete(code);
      });
    },
    specimen: (code) => specimens.get(code) ?? null,
    late(plan) {
      const open = runs.current();
      return {
        entries: [...entries.values()].map(({ kept }) => kept),
        specimens: [...specimens.values()].filter((each) => each.plan === plan),
        runs: [...(open === null ? [] : [open]), ...runs.unkept()].map(runRowOf),
      };
    },
    async whileReading(read) {
      reading += 1;
      try {
        return await read();
      } finally {
        reading -= 1;
        if (reading === 0) {
          const forgotten = reached;
          reached = [];
          for (const forget of forgotten) forget();
        }
      }
    },
  };
}

/** A plan's record with what is not on the disk yet. What is there already is not added twice. */
export function withLate(record: PlanRecord, late: LatePlan): PlanRecord {
  const specimens = added(record.specimens, late.specimens, ({ code }) => code).sort(
    (a, b) => a.block - b.block || a.place - b.place,
  );
  const codes = new Set(specimens.map(({ code }) => code));
  const its = late.entries.filter(({ subject }) => codes.has(subject) || subject === record.plan.id);
  // A run is newer here than on the disk, where its end may not be yet.
  const runs = late.runs.filter(({ settings }) => codes.has(settings.specimen ?? ""));
  const newer = new Set(runs.map(({ id }) => id));
  const all: RunRow[] = [...record.runs.filter(({ id }) => !newer.has(id)), ...runs];
  return {
    ...record,
    specimens,
    entries: added(record.entries, its, ({ entry }) => entry),
    runs: all.sort((a, b) => a.number - b.number),
  };
}

function added<T>(there: readonly T[], late: readonly T[], keyOf: (item: T) => string): T[] {
  const known = new Set(there.map(keyOf));
  return [...there, ...late.filter((item) => !known.has(keyOf(item)))];
}
