import { spawn } from "node:child_process";
import { once } from "node:events";
import { createInterface } from "node:readline";
import { fileURLToPath } from "node:url";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { openForWriting } from "../../station/journal/database.js";
import { createReads } from "../../station/journal/reads.js";
import { buildIfMissing } from "../unit/journal/built.js";
import { emptyFolder } from "../unit/journal/samples.js";

const WRITING = fileURLToPath(new URL("../unit/journal/killed.mjs", import.meta.url));

/** Lets a process write under this start id, kills it with SIGKILL after `lines` answers, and returns every answer it gave. */
async function writeAndKill(folder: string, start: string, lines: number): Promise<string[]> {
  const child = spawn(process.execPath, [WRITING, folder, start], { stdio: ["ignore", "pipe", "inherit"] });
  const answers: string[] = [];
  const reader = createInterface({ input: child.stdout });
  reader.on("line", (line) => {
    answers.push(line);
    if (answers.length === lines) child.kill("SIGKILL");
  });
  const [[, signal]] = await Promise.all([once(child, "exit"), once(reader, "close")]);
  expect(signal).toBe("SIGKILL");
  return answers;
}

function answered(answers: readonly string[], what: string): string[] {
  return answers.filter((line) => line.startsWith(`${what} `)).map((line) => line.slice(what.length + 1));
}

describe("a journal whose process was killed in the middle of writing", () => {
  const { folder, remove } = emptyFolder();
  beforeAll(buildIfMissing);
  afterAll(remove);

  it("is whole, has everything that was answered, and goes on from there", async () => {
    let runs = 0;
    for (const [start, lines] of [
      ["first", 25],
      ["second", 160],
      ["third", 331],
    ] as const) {
      const answers = await writeAndKill(folder, start, lines);
      const db = openForWriting(folder, { busyTimeoutMs: 1000 });
      try {
        expect(createReads(db).integrity(null)).toEqual([]);
        expect(db.pragma("foreign_key_check")).toEqual([]);

        const ids = (table: string) => new Set(db.prepare(`SELECT id FROM ${table}`).pluck().all());
        const [keptRuns, keptAlarms] = [ids("run"), ids("alarm_transition")];
        expect(answered(answers, "run").filter((id) => !keptRuns.has(id))).toEqual([]);
        expect(answered(answers, "alarm").filter((id) => !keptAlarms.has(id))).toEqual([]);

        // Readings hold their own place in the order as value: from 0, without a gap, each once, none that was flushed missing.
        const session = db.prepare("SELECT id FROM session WHERE start = ?").pluck().get(start);
        const values = db
          .prepare("SELECT value FROM reading WHERE session = ? ORDER BY id")
          .pluck()
          .all(session);
        expect(values).toEqual(values.map((_, i) => i));
        expect(values.length).toBeGreaterThanOrEqual(Math.max(...answered(answers, "readings").map(Number)));

        const numbers = db.prepare("SELECT number FROM run ORDER BY number").pluck().all();
        expect(numbers).toEqual(numbers.map((_, i) => i + 1));
        expect(numbers.length).toBeGreaterThan(runs);
        runs = numbers.length;
      } finally {
        db.close();
      }
    }
  });
});
