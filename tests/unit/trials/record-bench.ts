import { createRunRecord, type RunRecordParts } from "../../../station/trials/run-record.js";
import { bench } from "./desk-bench.js";

type Change = Parameters<RunRecordParts["journal"]["settingChanged"]>[0];

/** A run record over a desk whose store is in memory, with the changes of setting that it keeps. */
export function recordOver() {
  const { desk, clock } = bench();
  const kept: Change[] = [];
  const record = createRunRecord({
    clock,
    desk,
    journal: {
      runSettingsChanged: async () => undefined,
      settingChanged: async (change) => void kept.push(change),
    },
    reader: {
      run: async () => null,
      runs: async () => ({ runs: [], more: false }),
      runSeries: async () => {
        throw new Error("no chart is asked for here");
      },
    },
    channels: new Set(),
    failed: (error) => {
      throw error;
    },
    changed: () => undefined,
    corrected: () => undefined,
  });
  return { record, desk, kept };
}
