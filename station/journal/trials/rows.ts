import type { EntryKind, KeptEntry } from "../../model/entry.js";
import type { Lot, LotFacts } from "../../model/lot.js";
import type { Plan, PlanFacts } from "../../model/plan.js";
import type { Specimen, SpecimenSetting } from "../../model/specimen.js";

export interface NumberedRecord {
  readonly number: number;
  readonly id: string;
  readonly wall: number;
  readonly facts: string;
}

export function lotOf({ number, id, wall, facts }: NumberedRecord): Lot {
  return { id, number, facts: JSON.parse(facts) as LotFacts, addedWall: wall };
}

export function planOf({ number, id, wall, facts }: NumberedRecord): Plan {
  return { id, number, facts: JSON.parse(facts) as PlanFacts, madeWall: wall };
}

/** A row of `specimen`, with the ids of its plan and lot in the place of their numbers. */
export interface SpecimenRecord {
  readonly code: string;
  readonly plan_id: string;
  readonly block: number;
  readonly place: number;
  readonly lot_id: string;
  readonly setting: string;
  readonly replaces: string | null;
}

export function specimenOf(row: SpecimenRecord): Specimen {
  const { code, block, place, replaces } = row;
  const setting = JSON.parse(row.setting) as SpecimenSetting;
  return { code, plan: row.plan_id, block, place, lot: row.lot_id, setting, replaces };
}

export interface EntryRecord {
  readonly id: number;
  readonly entry: string;
  readonly wall: number;
  readonly kind: string;
  readonly subject: string;
  readonly property: string;
  readonly body: string;
  readonly entered_wall: number | null;
  readonly by: string | null;
}

export function entryOf(row: EntryRecord): KeptEntry {
  const { id, entry, wall, subject, property, by } = row;
  const kind = row.kind as EntryKind;
  // As it was written: its checksum is looked at in the question, and looking at its form again takes ten times as long.
  const body = JSON.parse(row.body) as KeptEntry["body"];
  return { id, entry, wall, kind, subject, property, body, enteredWall: row.entered_wall, by } as KeptEntry;
}
