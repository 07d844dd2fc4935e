import { join } from "node:path";
import Database from "better-sqlite3";
import { afterEach, beforeEach, expect, it } from "vitest";
import { JOURNAL_FILE } from "../../../station/journal/database.js";
import { createReads } from "../../../station/journal/reads.js";
import { type Bench, blocksOf, reading, writerBench } from "./samples.js";

let bench: Bench;
beforeEach(() => {
  bench = writerBench();
});
afterEach(() => bench.remove());

it.each(["0", "1.5", "x'00'"])("a row whose reason has become %s is refused with words", (reason) => {
  bench.put([reading("coolant", 0), reading("coolant", 1000, null), reading("coolant", 2000)]);
  // A worn card asks neither for the type of a column nor for a checksum; another connection keeps none up.
  const card = new Database(join(bench.folder, JOURNAL_FILE));
  card.unsafeMode(true);
  card.pragma("writable_schema = ON");
  card.exec(
    "UPDATE sqlite_schema SET sql = replace(sql, 'reason TEXT', 'reason BLOB') WHERE name = 'reading'",
  );
  card.pragma("writable_schema = RESET");
  card.exec(`UPDATE reading SET reason = ${reason} WHERE id = 2`);
  card.close();
  const window = { bootId: "boot-1", fromMono: 0, toMono: Number.MAX_SAFE_INTEGER };
  expect(() => blocksOf(createReads(bench.db), window)).toThrow(/damaged/);
});
