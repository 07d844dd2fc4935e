import { type ChildProcess, fork } from "node:child_process";
import { EventEmitter, once } from "node:events";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import type { PoolOptions, PoolWorker, WorkerRequest } from "vitest/node";

const NODE = fileURLToPath(new URL("node", import.meta.url));
/** How long a process that was told to end may take, in milliseconds. */
const ENDING_MS = 10_000;

/** What a worker answers, as far as it is looked at here (Vitest, `WorkerResponse`). */
interface Response {
  readonly __vitest_worker_response__?: true;
  readonly type?: string;
  readonly error?: unknown;
}

/**
 * A worker of Vitest's whose process is on arm64. Vitest gives a worker a minute to start, which nothing can change and an emulated
 * one on a busy machine overruns. So Vitest is told at once that it has started, and what it then asks is kept until it has.
 */
export class Arm64Worker implements PoolWorker {
  readonly name = "arm64";
  readonly cacheFs = true;
  readonly #options: PoolOptions;
  readonly #heard = new EventEmitter();
  #process: ChildProcess | null = null;
  /** What was asked before it had started; null from then on. */
  #kept: WorkerRequest[] | null = [];

  constructor(options: PoolOptions) {
    this.#options = options;
  }

  async start(): Promise<void> {
    const { distPath, env, execArgv } = this.#options;
    this.#process = fork(join(distPath, "workers/forks.js"), [], {
      execPath: NODE,
      execArgv: [...execArgv],
      env: env as NodeJS.ProcessEnv,
      serialization: "advanced",
      stdio: ["ignore", "inherit", "inherit", "ipc"],
    });
    this.#process.on("message", (message: Response) => this.#hear(message));
    this.#process.on("error", (error) => this.#heard.emit("error", error));
    this.#process.on("exit", (code) => this.#heard.emit("exit", code));
  }

  #hear(message: Response): void {
    if (message.__vitest_worker_response__ !== true || message.type !== "started") {
      this.#heard.emit("message", message);
      return;
    }
    if (message.error) this.#heard.emit("error", message.error);
    const kept = this.#kept ?? [];
    this.#kept = null;
    for (const request of kept) this.#process?.send(request);
  }

  send(request: WorkerRequest): void {
    if (request.type === "start") {
      this.#process?.send(request);
      setImmediate(() => this.#heard.emit("message", { __vitest_worker_response__: true, type: "started" }));
    } else if (this.#kept !== null) this.#kept.push(request);
    else this.#process?.send(request);
  }

  async stop(): Promise<void> {
    const child = this.#process;
    if (child === null || child.exitCode !== null || child.signalCode !== null) return;
    const last = setTimeout(() => child.kill("SIGKILL"), ENDING_MS);
    child.kill();
    await once(child, "exit");
    clearTimeout(last);
  }

  on(event: string, callback: (heard: unknown) => void): void {
    this.#heard.on(event, callback);
  }

  off(event: string, callback: (heard: unknown) => void): void {
    this.#heard.off(event, callback);
  }

  deserialize(data: unknown): unknown {
    return data;
  }
}
