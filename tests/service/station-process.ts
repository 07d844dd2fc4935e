import { type ChildProcess, spawn } from "node:child_process";
import { once } from "node:events";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { stringify } from "yaml";
import { asked, type Replied } from "./asked.js";

/** npm runs the tests and the bench from the project's folder, whether from their sources or built. */
const ROOT = process.cwd();

/** A built station in a process of its own, on a free port, with a folder that goes when the test is done. */
export interface StationProcess {
  readonly url: string;
  readonly folder: string;
  readonly child: ChildProcess;
  output(): string;
  get<T>(path: string): Promise<T>;
  send(method: string, path: string, body?: unknown): Promise<Replied>;
  /** SIGTERM, and waits for the exit code. */
  stop(): Promise<number | null>;
  /** SIGKILL, as a pulled plug. */
  kill(): Promise<void>;
}

export function temporaryFolder(): { folder: string; remove: () => void } {
  const folder = mkdtempSync(join(tmpdir(), "station-"));
  return { folder, remove: () => rmSync(folder, { recursive: true, force: true }) };
}

/**
 * @param config what goes into station.yaml; null starts the simulated bench
 * @param options.through a command that becomes the station's: the way into a namespace with a disk of its own
 * @param options.node the node that runs it, where that is not the one which runs the tests
 */
export async function startStation(
  folder: string,
  config: object | null,
  options: {
    port?: number;
    more?: readonly string[];
    journal?: string;
    through?: readonly string[];
    node?: string;
    env?: Readonly<Record<string, string>>;
  } = {},
): Promise<StationProcess> {
  const args = [join(ROOT, ".build/station/main.js"), "--port", String(options.port ?? 0)];
  args.push("--journal", options.journal ?? join(folder, "journal"), ...(options.more ?? []));
  if (config !== null) {
    const file = join(folder, "station.yaml");
    writeFileSync(file, stringify(config));
    args.push("--config", file);
  }
  const node = options.node ?? process.execPath;
  const [program = node, ...before] = [...(options.through ?? []), node];
  const env = { ...process.env, ...options.env };
  const child = spawn(program, [...before, ...args], { cwd: folder, env, stdio: ["ignore", "pipe", "pipe"] });
  let output = "";
  const url = await new Promise<string>((resolve, reject) => {
    const hear = (data: Buffer) => {
      output += data.toString();
      const listening = /url=(http:\/\/\S+)/.exec(output);
      if (listening?.[1] !== undefined) resolve(listening[1]);
    };
    child.stdout?.on("data", hear);
    child.stderr?.on("data", hear);
    child.once("exit", (code) => reject(new Error(`the station ended with ${code}:\n${output}`)));
  });
  const ended = once(child, "exit");
  return {
    url,
    folder,
    child,
    output: () => output,
    async get<T>(path: string) {
      const response = await fetch(`${url}${path}`);
      if (!response.ok) throw new Error(`${path}: ${response.status} ${await response.text()}`);
      return (await response.json()) as T;
    },
    send: (method, path, body) => asked(method, `${url}${path}`, body),
    async stop() {
      child.kill("SIGTERM");
      const [code] = await ended;
      return code as number | null;
    },
    async kill() {
      child.kill("SIGKILL");
      await ended;
    },
  };
}

/**
 * Polls `look` until it gives something other than null, undefined or false, and gives that. No test asks by it how long something
 * takes, so that it waits for longer than a busy machine stands still; and it looks once more after that.
 */
export async function eventually<T>(
  look: () => Promise<T> | T,
  what: string,
  withinMs = 60_000,
): Promise<NonNullable<T>> {
  const end = performance.now() + withinMs;
  let last: unknown = null;
  for (let late = false; !late; ) {
    late = performance.now() >= end;
    try {
      const found = await look();
      if (found !== null && found !== undefined && found !== false) return found as NonNullable<T>;
    } catch (error) {
      last = error;
    }
    await new Promise((next) => setImmediate(() => setTimeout(next, 50)));
  }
  throw new Error(`waited ${withinMs} ms in vain for ${what}${last === null ? "" : `: ${String(last)}`}`);
}
