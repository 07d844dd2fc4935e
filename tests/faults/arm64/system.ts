import { spawn, spawnSync } from "node:child_process";
import { once } from "node:events";
import { existsSync } from "node:fs";
import { homedir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";

/** Where the arm64 system and the packages for it are, as `.setup/arm64` puts them there. */
export const ARM64_FOLDER =
  process.env.ARM64_BENCH ??
  join(process.env.XDG_CACHE_HOME ?? join(homedir(), ".cache"), "workshop-station", "arm64");

/** One with npm and a compiler beside it, and none of the project's packages. */
export const MAKERS_FOLDER = join(ARM64_FOLDER, "maker");

const through = (folder: string) => ["sh", fileURLToPath(new URL("enter", import.meta.url)), folder] as const;

/** What goes before a command that is to be run in the arm64 system. */
export const THROUGH = through(ARM64_FOLDER);
/** As the user that a maker is there: npm lets root keep the numbers of whoever packed a file. */
export const THROUGH_MAKERS = ["env", "ENTER_AS=1000", ...through(MAKERS_FOLDER)] as const;

export interface Machine {
  readonly name: string;
  /** The command that is its node, or another program of it. */
  readonly node: readonly string[];
  /** Where it is run, if not in the project's folder. */
  readonly folder?: string;
}

export const HERE: Machine = { name: process.arch, node: [process.execPath] };
export const ON_ARM64: Machine = { name: "arm64", node: [...THROUGH, "node"] };

/**
 * Why nothing can be run on arm64, in words for the name of the tests; empty where it can. What is wrong with the system
 * itself is not said here: that is for the tests to find.
 */
export function whyNoArm64(folder = ARM64_FOLDER): string {
  const last = folder === MAKERS_FOLDER ? "made-of" : join("modules", "made-of");
  if (!existsSync(join(folder, last))) {
    return " (NOT RUN, there is no arm64 system for it here: bash .setup/arm64)";
  }
  const [program, ...before] = through(folder);
  const { status, stderr, error } = spawnSync(program, before, { encoding: "utf8" });
  if (status === 0) return "";
  return ` (NOT RUN, this machine cannot run programs for arm64: ${error?.message ?? stderr.trim().split("\n")[0]})`;
}

export interface Ended {
  readonly status: number | null;
  readonly stdout: string;
  readonly stderr: string;
}

/** Runs a script with a machine's node to its end. */
export async function runOn(
  { node, folder = process.cwd() }: Machine,
  ...args: readonly string[]
): Promise<Ended> {
  const [program = "node", ...before] = node;
  // Without what this run of the tests, and the npm that began it, have set for their own processes.
  const env = Object.fromEntries(
    Object.entries(process.env).filter(([name]) => !/^(VITEST|NODE_|npm_)/.test(name)),
  );
  const child = spawn(program, [...before, ...args], {
    cwd: folder,
    env,
    stdio: ["ignore", "pipe", "pipe"],
  });
  const pieces = { stdout: [] as Buffer[], stderr: [] as Buffer[] };
  child.stdout.on("data", (data: Buffer) => pieces.stdout.push(data));
  child.stderr.on("data", (data: Buffer) => pieces.stderr.push(data));
  const [status] = (await once(child, "close")) as [number | null];
  return {
    status,
    stdout: Buffer.concat(pieces.stdout).toString(),
    stderr: Buffer.concat(pieces.stderr).toString(),
  };
}

/** As `runOn`. @throws Error with what it said, where it ends with anything but 0. @returns what it printed */
export async function mustRunOn(machine: Machine, ...args: readonly string[]): Promise<string> {
  const { status, stdout, stderr } = await runOn(machine, ...args);
  if (status !== 0) {
    throw new Error(
      `${args.join(" ")}\nended with ${status} on ${machine.name}:\n${stdout.slice(-2000)}${stderr}`,
    );
  }
  return stdout;
}
