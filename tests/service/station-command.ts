import { spawnSync } from "node:child_process";
import { join } from "node:path";

export const STATION_COMMAND = join(process.cwd(), ".build/station/command.js");

export interface Ended {
  readonly status: number | null;
  readonly stdout: string;
  readonly stderr: string;
}

/** `npm run station -- VERB ...`, as it was built. */
export function station(folder: string, ...args: readonly string[]): Ended {
  const { status, stdout, stderr } = spawnSync(process.execPath, [STATION_COMMAND, ...args], {
    cwd: folder,
    encoding: "utf8",
    maxBuffer: 1e9,
  });
  return { status, stdout, stderr };
}
