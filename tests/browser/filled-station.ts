import { randomUUID } from "node:crypto";
import { expect } from "vitest";
import type { PropertyId } from "../../station/model/grade.js";
import type { ReviewOverview } from "../../station/model/review-views.js";
import type { PlanView } from "../../station/model/specimen.js";
import { history } from "../bench/histories.js";
import { pastCsv } from "../service/past-csv.js";
import { channel } from "../unit/journal/samples.js";
import { weekly } from "../unit/review/drift-runs.js";
import { fromPhone } from "../unit/trials/photos/pictures.js";
import { entry, LOTS, ladder, lotFacts } from "../unit/trials/plan-bench.js";
import { GradingRig } from "./grading-rig.js";
import { openPast } from "./past.js";

const HOUR = 3_600_000;
/** Graded of every specimen of the plan that is done; what is measured is given a number, and the rest a place on its scale. */
const GRADED: readonly PropertyId[] = ["through", "back_fuzz", "press_out_N"];

/** Ids and codes that the addresses of its pages are made of. */
export interface Facts {
  readonly plan: string;
  readonly waitingPlan: string;
  readonly lot: string;
  readonly run: string;
  readonly code: string;
  readonly photo: string;
  readonly badRun: string;
  /** Two stocks that were both cut, and a reference that was cut each week. */
  readonly stocks: readonly [string, string];
  readonly reference: string;
}

/** A station with something of everything: no page of it is empty. */
export class FilledStation extends GradingRig {
  facts!: Facts;

  async fill(): Promise<void> {
    this.#past(Math.floor(Date.now() / 1000) * 1000 - 60_000);
    await this.plugIn();
    const measured = {
      ...{ thickness_mm: [2.98, 3.02, 3.01], sheet_length_mm: 600, sheet_width_mm: 400, sheet_price: 4.5 },
      note: "Kept flat, under a board.",
    };
    await this.done("PUT", `/api/lots/${LOTS[0]}`, { facts: lotFacts(measured) });
    await this.done("PUT", `/api/lots/${LOTS[1]}`, {
      facts: lotFacts({ ...measured, product: "Harbour board" }),
    });
    await this.#decided();
    const waitingPlan = randomUUID();
    await this.done("PUT", `/api/plans/${waitingPlan}`, ladder({ title: "The same in winter", seed: 8 }));
    await this.done("POST", `/api/plans/${waitingPlan}/phase`, { phase: "running" });
    const [first] = await this.specimens();
    const [code, run] = [first?.code ?? "", first?.runs[0]?.id ?? ""];
    await this.done("PATCH", `/api/runs/${run}/settings`, {
      material: "Quayside board",
      note: "A first try.",
    });
    this.facts = {
      ...{ plan: this.plan, waitingPlan, lot: LOTS[0], run, code },
      photo: await this.#photo(code),
      ...(await this.#reviewed()),
    };
  }

  /** Two hours of readings with a run and an alarm, of an earlier start of the station. */
  #past(to: number): void {
    const from = to - 2 * HOUR;
    const past = openPast(this.folder, from, [
      channel("coolant-in", { resolution: 0.0625 }),
      channel("room-rh", { kind: "room-humidity", unit: "%RH", resolution: 0.1 }),
    ]);
    for (let wall = from; wall < to; wall += 1000) {
      const turn = ((wall - from) / HOUR) * 2 * Math.PI;
      past.read("coolant-in", wall, Math.round(16 * (19 + 1.5 * Math.sin(turn))) / 16);
      past.read("room-rh", wall, Math.round(10 * (48 + 6 * Math.cos(turn))) / 10);
    }
    past.opticsCleaned(from + HOUR / 4);
    const cut = from + HOUR / 2;
    past.run("6f1f0a7e-52f4-4b0b-9a43-8f6f6f3c0001", cut, cut + 300_000);
    for (const minutes of [10, 20, 31]) past.lookedForFire(cut + 300_000 + minutes * 60_000);
    past.alarm("past", from + HOUR, 60_000, { detail: "Coolant 34.0 °C, setpoint 22 °C" });
    past.close();
  }

  /** A plan of which all is cut and graded, the first lot better in one thing, and that is decided. */
  async #decided(): Promise<void> {
    await this.done("PUT", `/api/plans/${this.plan}`, ladder({ checks: [], properties: [...GRADED] }));
    await this.done("POST", `/api/plans/${this.plan}/phase`, { phase: "running" });
    const { blocks } = await this.get<PlanView>(`/api/plans/${this.plan}`);
    const pieces = blocks.flatMap(({ specimens }) => specimens);
    for (const _piece of pieces) await this.cut();
    const grades = pieces.flatMap(({ code, lot }, i) => {
      const worse = lot === LOTS[0] ? 0 : 1;
      return GRADED.map((property) => {
        const value =
          property === "press_out_N" ? 2 + worse + (i % 3) / 2 : property === "through" ? worse : i % 3;
        return entry("grade", code, { value, grading: 1 }, property);
      });
    });
    await this.done("POST", "/api/entries", { entries: grades });
    await this.done("POST", `/api/plans/${this.plan}/phase`, { phase: "closed" });
    await this.done("POST", `/api/plans/${this.plan}/decision`, {
      ...{ lot: LOTS[0], reason: "It falls out by itself." },
    });
    await this.done("POST", `/api/lots/${LOTS[0]}/sheet`, {
      ...{ what: "Cut through", speed_mm_s: 12.6, power_pct: 60, passes: 1, focus_spacer_mm: 7 },
      ...{ margin_pct: 10, conditions: "coolant 18 to 18.5 °C", plan: this.plan },
    });
  }

  async #photo(code: string): Promise<string> {
    const answer = await fetch(`${this.station.url}/api/photos?entry=${randomUUID()}&subject=${code}&note=`, {
      method: "POST",
      headers: { "content-type": "image/jpeg" },
      body: new Uint8Array(await fromPhone()),
    });
    expect(answer.status).toBeLessThan(300);
    return ((await answer.json()) as { sha256: string }).sha256;
  }

  /** A made-up season in which the coolant matters, and a reference that became slower. */
  async #reviewed() {
    const season = history({ runs: 120, effects: { coolant_C: -1 }, ratio: 1.2 }, 11, 1);
    const weeks = [20, 20.3, 19.8, 20.1, 19.9, 20.2, 19.7, 20, 20.1, 19.9, 20.2, 19.8, 20.1, 19.9];
    const reference = "Reference board";
    const weekly_ = weekly([...weeks, ...weeks.map((speed) => speed * 0.88)]).map((run) => ({
      ...run,
      material: reference,
    }));
    for (const runs of [season, weekly_]) {
      const answer = await fetch(`${this.station.url}/api/past-runs?dry=false`, {
        method: "POST",
        body: pastCsv(runs),
      });
      expect(answer.status).toBe(200);
    }
    const { badRuns } = await this.get<ReviewOverview>("/api/review");
    const stocks = [...new Set(season.map(({ material }) => material ?? ""))] as unknown as [string, string];
    return { badRun: badRuns[0]?.id ?? "", stocks, reference };
  }
}
