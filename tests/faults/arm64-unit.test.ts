import { readdirSync } from "node:fs";
import { join } from "node:path";
import { beforeAll, describe, expect, it } from "vitest";
import { buildIfMissing } from "../unit/journal/built.js";
import { runThere } from "./arm64/suite.js";
import { whyNoArm64 } from "./arm64/system.js";

const why = whyNoArm64();

const ALL = ["tests/published", "tests/unit"].flatMap((folder) =>
  readdirSync(folder, { recursive: true, encoding: "utf8" })
    .filter((name) => name.endsWith(".test.ts"))
    .map((name) => join(folder, name))
    .sort(),
);
const below = (...folders: string[]) =>
  ALL.filter((file) => folders.some((folder) => file.startsWith(folder)));

/** A process of its own for each: one sets its time zone before anything asks for it, the others have modules that are not the usual ones. */
const ALONE = below(
  "tests/unit/pages/calendar.test.ts",
  "tests/unit/journal/backup/restore-cut.test.ts",
  "tests/unit/setup/config-store.test.ts",
);

/** Each is run by itself, so that one that broke can be run again. */
const NAMED: Record<string, readonly string[]> = {
  published: below("tests/published/"),
  conditions: below("tests/unit/conditions/"),
  review: below("tests/unit/review/"),
  journal: below("tests/unit/journal/").filter((file) => !ALONE.includes(file)),
  trials: below("tests/unit/trials/"),
  "alarms and bench": below("tests/unit/alarms/", "tests/unit/simulator/"),
  ...Object.fromEntries(ALONE.map((file) => [file, [file]])),
};
const named = Object.values(NAMED).flat();
const PARTS = { ...NAMED, "all else": ALL.filter((file) => !named.includes(file)) };

// The journal's threads begin from what was built.
beforeAll(buildIfMissing);

describe.skipIf(why !== "")(`the unit tests, as on a Pi with the 64-bit system${why}`, () => {
  it.each(Object.entries(PARTS))("pass there as well: %s", async (name, files) => {
    const outcome = await runThere(files);
    process.stdout.write(`${name}: ${outcome.passed} tests passed in ${outcome.files.length} files\n`);
    expect(outcome.others, outcome.said).toEqual([]);
    expect(outcome.files, outcome.said).toEqual(files);
    expect(outcome.passed).toBeGreaterThan(files.length);
  });
});
