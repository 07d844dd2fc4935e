import { type ChildProcess, spawn } from "node:child_process";
import { once } from "node:events";
import { closeSync, constants, mkdtempSync, openSync, rmSync, writeSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";

/** Two terminals joined end to end by socat: the station opens `path`, the test plays the board at the other end. */
export class TerminalPair {
  readonly #folder = mkdtempSync(join(tmpdir(), "board-"));
  readonly path = join(this.#folder, "station");
  readonly #boardEnd = join(this.#folder, "board");
  #socat: ChildProcess | null = null;
  #board: number | null = null;

  /** The board is plugged in: from here on `path` exists. */
  async plugIn(): Promise<void> {
    const end = (link: string) => `pty,raw,echo=0,link=${link}`;
    const socat = spawn("socat", ["-d", "-d", end(this.#boardEnd), end(this.path)], {
      stdio: ["ignore", "ignore", "pipe"],
    });
    this.#socat = socat;
    let said = "";
    for await (const chunk of socat.stderr) {
      said += String(chunk);
      if (said.includes("starting data transfer loop")) break;
    }
    this.#board = openSync(this.#boardEnd, constants.O_RDWR | constants.O_NOCTTY);
  }

  send(bytes: string | Uint8Array): void {
    if (this.#board === null) throw new Error("the board is not plugged in");
    const buffer = Buffer.from(bytes);
    for (let at = 0; at < buffer.length; ) at += writeSync(this.#board, buffer, at);
  }

  /** The cable is pulled: both terminals go away. */
  async pullOut(): Promise<void> {
    const socat = this.#socat;
    this.#socat = null;
    if (this.#board !== null) closeSync(this.#board);
    this.#board = null;
    if (socat === null) return;
    const gone = once(socat, "exit");
    socat.kill("SIGTERM");
    await gone;
  }

  async remove(): Promise<void> {
    await this.pullOut();
    rmSync(this.#folder, { recursive: true });
  }
}
