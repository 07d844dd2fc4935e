import { randomUUID } from "node:crypto";
import { join } from "node:path";
import Database from "better-sqlite3";
import type { PropertyId } from "../../station/model/grade.js";
import type { PlanView, SpecimenView } from "../../station/model/specimen.js";
import { BoardStation } from "../service/board-station.js";
import { LOTS, ladder, lotFacts } from "../unit/trials/plan-bench.js";

/** A name of the workshop's network: to pages there a browser gives less than to those of its own machine. */
export const SHED = "shed.test";

export interface KeptLine {
  readonly entry: string;
  readonly kind: string;
  readonly subject: string;
  readonly property: string;
  readonly value: number | null;
  readonly enteredWall: number;
  readonly by: string | null;
}

/** A station with two lots, a plan that runs, and some of its specimens cut. */
export class GradingRig extends BoardStation {
  readonly plan = randomUUID();

  async begin(properties: readonly PropertyId[], cuts: number): Promise<void> {
    await this.plugIn();
    await this.done("PUT", `/api/lots/${LOTS[0]}`, { facts: lotFacts() });
    await this.done("PUT", `/api/lots/${LOTS[1]}`, { facts: lotFacts({ product: "Harbour board" }) });
    const facts = ladder({ checks: [], properties: [...properties], second_share: 1 });
    await this.done("PUT", `/api/plans/${this.plan}`, facts);
    await this.done("POST", `/api/plans/${this.plan}/phase`, { phase: "running" });
    for (let i = 0; i < cuts; i++) await this.cut();
  }

  /** In the order of cutting. */
  async specimens(): Promise<readonly SpecimenView[]> {
    const view = await this.station.get<PlanView>(`/api/plans/${this.plan}`);
    return view.blocks.flatMap(({ specimens }) => specimens);
  }

  /** As a phone of the workshop's network finds it. */
  address(path: string): string {
    return `http://${SHED}:${new URL(this.station.url).port}${path}`;
  }

  /** Grades and photos of a specimen as the journal has them, in the order in which they came in. */
  kept(code: string): readonly KeptLine[] {
    const db = new Database(join(this.folder, "journal", "journal.sqlite"), { readonly: true });
    try {
      return db
        .prepare<[string], KeptLine>(
          `SELECT entry, kind, subject, property, json_extract(body, '$.value') AS value,
                  entered_wall AS enteredWall, by
           FROM trial_entry WHERE subject = ? AND kind IN ('grade', 'photo') ORDER BY id`,
        )
        .all(code);
    } finally {
      db.close();
    }
  }
}
