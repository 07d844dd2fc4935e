import { isDeepStrictEqual } from "node:util";
import { AppError } from "../../errors.js";
import type { Entry, EntryAnswer } from "../../model/entry.js";
import type { Instant } from "../../model/instant.js";
import type { LotFacts } from "../../model/lot.js";
import type { Db } from "../database.js";
import type { SettingChange } from "../protocol.js";
import { sound } from "../row-checks.js";
import type { SpecimenGiven, TrialActionMap } from "./calls.js";
import { lotOf, type NumberedRecord, planOf } from "./rows.js";

export type TrialHandlers = {
  readonly [K in keyof TrialActionMap]: (params: TrialActionMap[K]["params"]) => TrialActionMap[K]["result"];
};

/** What trials write, inside a transaction of the caller's. What is there already is answered as it is and not written twice. */
export function createTrialActions(
  db: Db,
  session: number,
  wallOf: (at: Instant) => number,
  settingChanged: (change: SettingChange) => void,
): TrialHandlers {
  const byId = (table: "lot" | "plan") =>
    db.prepare<[string], NumberedRecord>(`SELECT * FROM ${table} WHERE id = ? AND ${sound(table)}`);
  const insert = (table: "lot" | "plan") =>
    db.prepare(
      `INSERT INTO ${table} (number, id, session, wall, mono, facts)
       VALUES ((SELECT coalesce(max(number), 0) + 1 FROM ${table}), ?, ?, ?, ?, ?)`,
    );
  const lotById = byId("lot");
  const planById = byId("plan");
  const insertLot = insert("lot");
  const insertPlan = insert("plan");
  const setLotFacts = db.prepare("UPDATE lot SET facts = ? WHERE id = ?");
  const codeTaken = db.prepare<[string], number>("SELECT 1 FROM specimen WHERE code = ?").pluck();
  const placeTaken = db
    .prepare<[number, number, number], string>(
      "SELECT code FROM specimen WHERE plan = ? AND block = ? AND place = ?",
    )
    .pluck();
  const insertSpecimen = db.prepare(
    "INSERT INTO specimen (code, plan, session, block, place, lot, setting, replaces) VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
  );
  const entryKnown = db.prepare<[string], number>("SELECT 1 FROM trial_entry WHERE entry = ?").pluck();
  const planOfSpecimen = db.prepare<[string], number>("SELECT plan FROM specimen WHERE code = ?").pluck();
  const insertEntry = db.prepare(
    `INSERT INTO trial_entry (entry, session, wall, mono, plan, kind, subject, property, body, entered_wall, by)
     VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`,
  );

  function lotRow(id: string): NumberedRecord {
    const row = lotById.get(id);
    if (row === undefined) throw new AppError("lot-unknown", "The journal has no lot of this id.");
    return row;
  }

  function planRow(id: string): NumberedRecord {
    const row = planById.get(id);
    if (row === undefined) throw new AppError("plan-unknown", "The journal has no plan of this id.");
    return row;
  }

  function addSpecimens(plan: number, specimens: readonly SpecimenGiven[]): void {
    for (const { code, block, place, lot, setting, replaces } of specimens) {
      if (codeTaken.get(code) !== undefined)
        throw new AppError("code-taken", `Another specimen has the code ${code}: ask again for new ones.`);
      if (placeTaken.get(plan, block, place) !== undefined)
        throw new AppError("code-taken", `Place ${place} of block ${block} is taken: load the plan again.`);
      insertSpecimen.run(
        ...[code, plan, session, block, place, lotRow(lot).number, JSON.stringify(setting), replaces],
      );
    }
  }

  /** The number of the plan that an entry belongs to; null for what is about a lot. Undefined where there is no such subject. */
  function planOfEntry({ kind, subject }: Entry): number | null | undefined {
    if (kind === "past") return null;
    if (kind === "grade" || kind === "step") return planOfSpecimen.get(subject);
    if (kind === "sheet") return lotById.get(subject) === undefined ? undefined : null;
    const plan = planById.get(subject)?.number;
    if (kind !== "photo") return plan;
    return planOfSpecimen.get(subject) ?? (lotById.get(subject) === undefined ? undefined : null);
  }

  function keep(entry: Entry, at: Instant): EntryAnswer {
    const answer = (became: EntryAnswer["became"], why: string | null = null) => ({
      entry: entry.entry,
      became,
      why,
    });
    if (entryKnown.get(entry.entry) !== undefined) return answer("known");
    const plan = planOfEntry(entry);
    if (plan === undefined) return answer("refused", `There is no ${subjectWord(entry)} ${entry.subject}.`);
    const { kind, subject, property, body, enteredWall, by } = entry;
    const moment = [wallOf(at), at.mono];
    insertEntry.run(
      ...[
        entry.entry,
        session,
        ...moment,
        plan,
        kind,
        subject,
        property,
        JSON.stringify(body),
        enteredWall,
        by,
      ],
    );
    return answer("kept");
  }

  return {
    lotKept({ id, facts, at, by }) {
      const before = lotById.get(id);
      if (before === undefined) insertLot.run(id, session, wallOf(at), at.mono, JSON.stringify(facts));
      else {
        const old = lotOf(before).facts;
        const paths = new Set([...Object.keys(old), ...Object.keys(facts)]) as Set<keyof LotFacts>;
        for (const path of paths) {
          if (JSON.stringify(old[path]) === JSON.stringify(facts[path])) continue;
          settingChanged({ subject: `lot:${id}`, path, old: old[path], new: facts[path], at, by });
        }
        setLotFacts.run(JSON.stringify(facts), id);
      }
      return lotOf(lotRow(id));
    },
    planLaid({ id, facts, specimens, at }) {
      const there = planById.get(id);
      if (there !== undefined) {
        const plan = planOf(there);
        if (isDeepStrictEqual(plan.facts, facts)) return plan;
        throw new AppError(
          "plan-known",
          `Plan ${plan.number} has this id and other facts. A plan never changes: make another.`,
        );
      }
      for (const lot of facts.lots) lotRow(lot);
      insertPlan.run(id, session, wallOf(at), at.mono, JSON.stringify(facts));
      addSpecimens(planRow(id).number, specimens);
      return planOf(planRow(id));
    },
    specimensAdded({ id, specimens }) {
      addSpecimens(planRow(id).number, specimens);
      return null;
    },
    entriesKept: ({ entries, at }) => entries.map((entry) => keep(entry, at)),
  };
}

function subjectWord({ kind }: Entry): string {
  if (kind === "grade" || kind === "step") return "specimen with the code";
  if (kind === "sheet") return "lot with the id";
  return kind === "photo" ? "specimen or lot" : "plan with the id";
}
