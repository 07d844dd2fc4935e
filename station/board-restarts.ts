import type { Log } from "./log.js";
import { RESTART_CAUSES, type SourceStatus } from "./model/source.js";

/** Writes each start of a board into the log, once. Given every status of every source. */
export function logBoardRestarts(log: Log): (status: SourceStatus) => void {
  const told = new Map<string, number>();
  return ({ source, restart }) => {
    if (restart == null || restart.count === told.get(source)) return;
    told.set(source, restart.count);
    const { isTrouble, text } = RESTART_CAUSES[restart.cause];
    log(isTrouble ? "warn" : "info", `the board began anew: ${text}`, { source, count: restart.count });
  };
}
