import { spawn } from "node:child_process";
import { once } from "node:events";
import { createInterface } from "node:readline";
import { fileURLToPath } from "node:url";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { openForWriting } from "../../station/journal/database.js";
import { createReads } from "../../station/journal/reads.js";
import { buildIfMissing } from "../unit/journal/built.js";
import { blocksOf, emptyFolder, foundIn } from "../unit/journal/samples.js";

const WRITING = fileURLToPath(new URL("../unit/journal/killed.mjs", import.meta.url));

/** Readings are some seconds apart, so that hours pass while it writes and are sealed meanwhile. */
const APART_MS = "5000";

/** Lets a process write under this start id, kills it with SIGKILL after `lines` answers, and returns every answer it gave. */
async function writeAndKill(folder: string, start: string, lines: number): Promise<string[]> {
  const child = spawn(process.execPath, [WRITING, folder, start, APART_MS], {
    stdio: ["ignore", "pipe", "inherit"],
  });
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
    let sealed = 0;
    for (const [start, lines] of [
      ["first", 25],
      ["second", 160],
      ["third", 331],
      ["fourth", 602],
    ] as const) {
      const answers = await writeAndKill(folder, start, lines);
      const db = openForWriting(folder, { busyTimeoutMs: 1000 });
      try {
        expect([createReads(db).integrity(null), foundIn(db)]).toEqual([[], []]);
        expect(db.pragma("foreign_key_check")).toEqual([]);

        const ids = (table: string) => new Set(db.prepare(`SELECT id FROM ${table}`).pluck().all());
        const [keptRuns, keptAlarms] = [ids("run"), ids("alarm_transition")];
        expect(answered(answers, "run").filter((id) => !keptRuns.has(id))).toEqual([]);
        expect(answered(answers, "alarm").filter((id) => !keptAlarms.has(id))).toEqual([]);

        // Readings hold their own place in the order as value: from 0, without a gap, each once, none that was flushed missing.
        const all = { bootId: start, fromMono: 0, toMono: Number.MAX_SAFE_INTEGER };
        const values = blocksOf(createReads(db), all)
          .flat()
          .map(({ value }) => value);
        expect(values).toEqual(values.map((_, i) => i));
        expect(values.length).toBeGreaterThanOrEqual(Math.max(...answered(answers, "readings").map(Number)));

        const blocks = db.prepare("SELECT coalesce(sum(readings), 0) FROM block").pluck().get() as number;
        expect(blocks).toBeGreaterThanOrEqual(sealed);
        sealed = blocks;

        const numbers = db.prepare("SELECT number FROM run ORDER BY number").pluck().all();
        expect(numbers).toEqual(numbers.map((_, i) => i + 1));
        expect(numbers.length).toBeGreaterThan(runs);
        runs = numbers.length;
      } finally {
        db.close();
      }
    }
    expect(sealed).toBeGreaterThan(0);
  });
});
