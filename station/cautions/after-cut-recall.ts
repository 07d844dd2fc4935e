import type { Journal } from "../journal/journal.js";
import type { JournalReader } from "../journal/reader.js";
import type { StandingAlarm } from "../model/alarm.js";
import { type AfterCutDesk, FIRE_WATCH_DEEDS } from "./after-cut-desk.js";

/** More runs than these are not cut within a watch; and a look every minute is more often than anybody is asked to. */
const RUNS = 10;
const DEEDS = 100;

export interface AfterCutRecall {
  readonly journal: Pick<Journal, "lastDeeds">;
  readonly reader: Pick<JournalReader, "runs" | "run">;
  readonly desk: Pick<AfterCutDesk, "takeUp">;
}

/** A watch outlives a restart: what it stands on are runs and deeds of the journal. */
export async function recallAfterCut({ journal, reader, desk }: AfterCutRecall): Promise<void> {
  const { runs } = await reader.runs({ limit: RUNS });
  const whole = await Promise.all(runs.map(({ id }) => reader.run(id)));
  const deeds = await journal.lastDeeds({ what: FIRE_WATCH_DEEDS, limit: DEEDS });
  desk.takeUp(
    whole.filter((run) => run !== null),
    deeds,
  );
}

/** Whoever has looked has answered the alarms that asked for it, and need not press again. */
export function acknowledgeLooks(
  standing: readonly StandingAlarm[],
  acknowledge: (alarm: string) => void,
): void {
  for (const { alarm, kind, state } of standing)
    if (kind.startsWith("fire-watch-") && state.endsWith("unacknowledged")) acknowledge(alarm);
}
