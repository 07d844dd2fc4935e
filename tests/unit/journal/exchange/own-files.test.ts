import { existsSync, linkSync, readdirSync, readFileSync, symlinkSync } from "node:fs";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { exportVerb } from "../../../../station/export-verb.js";
import { Misuse } from "../../../../station/verb.js";
import { emptyFolder, reading, sessionStart } from "../samples.js";
import { contentsOf, writeJournal } from "./journals.js";

let folder: string;
let remove: () => void;
let journal: string;
beforeEach(() => {
  ({ folder, remove } = emptyFolder());
  journal = join(folder, "journal");
  writeJournal(journal, [{ session: sessionStart(), readings: [reading("coolant", 0)] }]);
});
afterEach(() => remove());

function exportTo(out: string, what: string): Promise<number> {
  const options: Record<string, string> = { journal, out, what };
  return exportVerb.run({
    operands: [],
    text: (option) => options[option] ?? null,
    texts: () => [],
    given: () => false,
    json: false,
    variable: () => null,
  });
}

describe("an export", () => {
  it.each(["readings", "runs", "alarms", "journal"])(
    "of %s never takes the place of the journal, however its file is named",
    async (what) => {
      const file = join(journal, "journal.sqlite");
      symlinkSync(file, join(folder, "link"));
      linkSync(file, join(folder, "same"));
      symlinkSync(journal, join(folder, "way"));
      symlinkSync(file, join(folder, "half.partial"));
      const before = readFileSync(file);
      const names = readdirSync(journal);
      for (const out of [
        file,
        join(journal, "..", "journal", "journal.sqlite"),
        join(folder, "link"),
        join(folder, "same"),
        join(folder, "way", "journal.sqlite"),
        join(folder, "half"),
        `${file}-wal`,
        join(folder, "way", "journal.sqlite-shm"),
        join(journal, "station.lock"),
      ]) {
        await expect(exportTo(out, what), out).rejects.toThrow(Misuse);
      }
      expect(readFileSync(file).equals(before)).toBe(true);
      expect(readdirSync(journal)).toEqual(names);
      expect((await contentsOf(journal)).readings["start-1"]).toHaveLength(1);
    },
  );

  it("goes into the journal's folder under a name of its own", async () => {
    const out = join(journal, "copy.sqlite");
    await exportTo(out, "journal");
    expect(existsSync(out)).toBe(true);
  });
});
