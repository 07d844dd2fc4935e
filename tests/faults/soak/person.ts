import type { StandingAlarm } from "../../../station/model/alarm.js";
import type { Machine } from "./life.js";

/** What the station answered for: it has to be in the journal, whatever happened since. */
export interface Answered {
  readonly what: "job-sheet" | "acknowledged" | "cleaned";
  readonly mark: string;
  readonly atS: number;
}

/** Whoever comes by: enters what will be cut, and answers alarms. Each thing has a mark by which it is found again. */
export interface Person {
  readonly answered: readonly Answered[];
  enterSheet(): Promise<void>;
  answerAlarms(): Promise<void>;
  cleanOptics(): Promise<void>;
}

const CLEANED_EVERY = 25;

/** @param nowS seconds from the start */
export function createPerson(machine: Machine, nowS: () => number): Person {
  const answered: Answered[] = [];
  let done = 0;

  async function ask(
    what: Answered["what"],
    [method, path]: readonly [string, string],
    body: object,
    mark = "",
  ) {
    const { status } = await machine.running.ask(method, path, body);
    // 202 says that it is not on the disk yet.
    if (status === 200 || status === 201 || status === 204) answered.push({ what, mark, atS: nowS() });
  }
  const cleanOptics = () => ask("cleaned", ["POST", "/api/optics/cleaned"], {});

  return {
    answered,
    cleanOptics,
    async enterSheet() {
      done += 1;
      const mark = `s${done}`;
      const sheet = { material: "acrylic 3 mm", specimen: mark, speed_mm_s: 5 + (done % 30) };
      await ask("job-sheet", ["PUT", "/api/job-sheet"], sheet, mark);
      if (done % CLEANED_EVERY === 0) await cleanOptics();
    },
    async answerAlarms() {
      const { standing } = await machine.running.get<{ standing: StandingAlarm[] }>("/api/alarms");
      for (const { alarm, state } of standing) {
        if (state !== "unacknowledged" && state !== "returned-unacknowledged") continue;
        done += 1;
        const by = `person ${done}`;
        await ask(
          "acknowledged",
          ["POST", `/api/alarms/${encodeURIComponent(alarm)}/acknowledge`],
          { by },
          by,
        );
      }
    },
  };
}
