import {
  MAINTENANCE_KINDS,
  type MaintenanceKind,
  type MaintenanceRow,
  type Upkeep,
} from "../../model/maintenance.js";
import type { Db } from "../database.js";
import { sound } from "../row-checks.js";
import { RUN_START } from "../schema.js";

export type UpkeepAsked = ({ readonly beforeWall: number } | { readonly run: string }) & {
  /** Of all kinds where it is not given. */
  readonly kinds?: readonly MaintenanceKind[];
};

export interface UpkeepReads {
  /** Before a moment of the wall clock, or a run: what was last done of each kind, and the hours of beam since. */
  upkeep: { params: UpkeepAsked; result: Upkeep[] };
  maintenanceLog: { params: null; result: MaintenanceRow[] };
}

type Answers = {
  readonly [K in keyof UpkeepReads]: (params: UpkeepReads[K]["params"]) => UpkeepReads[K]["result"];
};

const HOUR_MS = 3_600_000;
const MOST_ROWS = 200;

/**
 * Hours of beam from one moment to another: of each run that ended the share of its length in which the laser was on, where
 * its stamp has a laser-on input that is known, and else all of it.
 */
const BEAM_MS = `SELECT coalesce(total((run.end_mono - run.start_mono) * coalesce(
    (SELECT c.value ->> '$.mean' FROM json_each(run.stamp, '$.channels') c WHERE c.value ->> '$.kind' = 'laser-on'
     AND c.value ->> '$.known' LIMIT 1), 1)), 0)
  FROM run WHERE end_mono IS NOT NULL AND ${RUN_START} >= ? AND ${RUN_START} < ? AND ${sound("run")}`;

export function createUpkeepReads(db: Db): Answers {
  const lastOf = db.prepare<[string, number], MaintenanceRow>(
    `SELECT id, kind, wall, note FROM maintenance WHERE kind = ? AND wall <= ? AND ${sound("maintenance")}
     ORDER BY wall DESC, id DESC LIMIT 1`,
  );
  const log = db.prepare<[number], MaintenanceRow>(
    `SELECT id, kind, wall, note FROM maintenance WHERE ${sound("maintenance")} ORDER BY wall DESC, id DESC LIMIT ?`,
  );
  const beamMs = db.prepare<[number, number], number>(BEAM_MS).pluck();
  const startOf = db.prepare<[string], number>(`SELECT ${RUN_START} FROM run WHERE id = ?`).pluck();

  return {
    upkeep(moment) {
      const before = "run" in moment ? startOf.get(moment.run) : moment.beforeWall;
      if (before === undefined) return [];
      return (moment.kinds ?? MAINTENANCE_KINDS).flatMap((kind): Upkeep[] => {
        const last = lastOf.get(kind, before);
        if (last === undefined) return [];
        const laserHours = (beamMs.get(last.wall, before) as number) / HOUR_MS;
        return [{ kind, wall: last.wall, note: last.note, laserHours }];
      });
    },
    maintenanceLog: () => log.all(MOST_ROWS),
  };
}
