import { join } from "node:path";
import Database from "better-sqlite3";
import type { EntryKind } from "../../station/model/entry.js";
import type { LotFacts } from "../../station/model/lot.js";
import type { PlanFacts } from "../../station/model/plan.js";
import type { RunSettings, Stamp } from "../../station/model/run.js";
import type { SpecimenSetting } from "../../station/model/specimen.js";
import { BoardStation } from "../service/board-station.js";
import { SHED } from "./grading-rig.js";

/** A line of what was entered, as the journal has it. */
export interface EntryLine {
  readonly kind: EntryKind;
  readonly subject: string;
  readonly property: string;
  readonly body: object;
  readonly enteredWall: number | null;
  readonly by: string | null;
}

export interface RunLine {
  readonly number: number;
  readonly specimen: string | null;
  readonly cause: string;
  readonly endCause: string | null;
  readonly settings: RunSettings;
  readonly stamp: Stamp | null;
  readonly startWall: number;
  readonly endWall: number | null;
}

export interface SpecimenLine {
  readonly code: string;
  readonly plan: string;
  readonly block: number;
  readonly place: number;
  readonly lot: string;
  readonly setting: SpecimenSetting;
  readonly replaces: string | null;
}

/** All that the journal has of a comparison, each table in the order in which it was written. */
export interface Stored {
  readonly lots: readonly { readonly number: number; readonly id: string; readonly facts: LotFacts }[];
  readonly plans: readonly { readonly number: number; readonly id: string; readonly facts: PlanFacts }[];
  readonly specimens: readonly SpecimenLine[];
  readonly runs: readonly RunLine[];
  readonly entries: readonly EntryLine[];
  /** Of lots and the workshop: what was changed after it was first entered, and the workshop's facts. */
  readonly changes: readonly {
    readonly subject: string;
    readonly new: unknown;
    readonly by: string | null;
  }[];
}

const JSON_COLUMNS = ["facts", "setting", "settings", "stamp", "body", "new"];

/** A station with nothing in its journal: all that comes into it is done at its screens. */
export class WholeRig extends BoardStation {
  /** As a screen of the workshop's network finds it. */
  address(path: string): string {
    return `http://${SHED}:${new URL(this.station.url).port}${path}`;
  }

  /** Read past the station, from the file itself. */
  stored(): Stored {
    const db = new Database(join(this.folder, "journal", "journal.sqlite"), { readonly: true });
    const all = <T>(sql: string) =>
      (db.prepare(sql).all() as Record<string, unknown>[]).map((row) => {
        for (const key of JSON_COLUMNS) if (typeof row[key] === "string") row[key] = JSON.parse(row[key]);
        return row as T;
      });
    try {
      return {
        lots: all("SELECT number, id, facts FROM lot ORDER BY number"),
        plans: all("SELECT number, id, facts FROM plan ORDER BY number"),
        specimens: all(
          `SELECT code, plan.id AS plan, block, place, lot.id AS lot, setting, replaces
           FROM specimen JOIN plan ON plan.number = specimen.plan JOIN lot ON lot.number = specimen.lot
           ORDER BY specimen.id`,
        ),
        runs: all(
          `SELECT number, specimen, cause, end_cause AS endCause, settings, stamp, start_wall AS startWall,
             end_wall AS endWall FROM run ORDER BY number`,
        ),
        entries: all(
          `SELECT kind, subject, property, body, entered_wall AS enteredWall, by FROM trial_entry ORDER BY id`,
        ),
        changes: all(
          `SELECT subject, new, by FROM setting_change
           WHERE subject = 'workshop' OR subject LIKE 'lot:%' ORDER BY id`,
        ),
      };
    } finally {
      db.close();
    }
  }
}
