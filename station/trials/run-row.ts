import type { RunRow } from "../model/now.js";
import type { Run } from "../model/run.js";

/** A run as lists show it, worked out from the run alone: of one that is on its way to the disk, and of one under review. */
export function runRowOf(run: Run): RunRow {
  const { id, number, cause, startWall, startMono, endWall, endMono, endCause, settings, simulated, stamp } =
    run;
  const coolant = Object.values(stamp?.channels ?? {}).find(({ kind }) => kind === "coolant-inlet");
  return {
    ...{ id, number, cause, startWall, endWall, endCause, settings, simulated },
    clockAtStart: run.clockAtStart,
    placed: null,
    lengthMs: endMono === null ? null : endMono - startMono,
    flags: stamp?.flags.map(({ flag, text }) => ({ flag, text })) ?? [],
    coolantMean: coolant?.mean ?? null,
  };
}
