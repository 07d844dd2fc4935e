import { readFileSync } from "node:fs";
import { join } from "node:path";
import { beforeAll, describe, expect, it } from "vitest";
import { buildIfMissing } from "../unit/journal/built.js";
import { ARM64_FOLDER, HERE, mustRunOn, ON_ARM64, whyNoArm64 } from "./arm64/system.js";

const why = whyNoArm64();
/** Four units in the last place. */
const LAST_BITS = 4 * Number.EPSILON;

beforeAll(buildIfMissing);

function numbersIn(printed: string): Map<string, number[]> {
  const rows = printed
    .trim()
    .split("\n")
    .map((row) => row.split("\t"));
  return new Map(
    rows.map(([name = "", values = ""]) => [
      name,
      values.split(" ").map((hex) => Buffer.from(hex, "hex").readDoubleBE()),
    ]),
  );
}

/** By which part of the first the second differs; infinite where one of them is no number. */
function apart(a: number, b: number): number {
  if (Object.is(a, b)) return 0;
  const part = Math.abs(a - b) / Math.abs(a);
  return Number.isNaN(part) ? Number.POSITIVE_INFINITY : part;
}

describe.skipIf(why !== "")(`as on a Pi with the 64-bit system${why}`, () => {
  it("has the packages that the lock file names", () => {
    const lock = "package-lock.json";
    const there = readFileSync(join(ARM64_FOLDER, "modules", lock), "utf8");
    expect(there === readFileSync(lock, "utf8"), "they are others: bash .setup/arm64").toBe(true);
  });

  it("loads every compiled package, and each does there what it does here", async () => {
    const script = "tests/faults/arm64/native.mjs";
    const here = JSON.parse(await mustRunOn(HERE, script));
    const there = JSON.parse(await mustRunOn(ON_ARM64, script));
    expect(there).toMatchObject({
      arch: "arm64",
      endianness: "LE",
      sqlite: { same: true },
      serialPorts: true,
      epoll: "edge",
      argon2: [true, false],
      picture: { width: 64, height: 48 },
    });
    expect({ ...there, arch: here.arch }).toEqual(here);
  });

  it("reckons to the last bit as here where the language leaves no choice, and as near as that elsewhere", async () => {
    const script = "tests/faults/arm64/numbers.mjs";
    const [here, there] = [await mustRunOn(HERE, script), await mustRunOn(ON_ARM64, script)].map(numbersIn);
    expect([...(there?.keys() ?? [])]).toEqual([...(here?.keys() ?? [])]);
    const others: Record<string, number> = {};
    for (const [name, values] of here ?? []) {
      const away = values.map((value, i) => apart(value, there?.get(name)?.[i] ?? Number.NaN));
      others[name] = away.filter((part) => part > 0).length / values.length;
      const most = name.startsWith("exactly") ? 0 : LAST_BITS;
      expect(Math.max(...away), name).toBeLessThanOrEqual(most);
    }
    process.stdout.write(`share of results with other last bits: ${JSON.stringify(others)}\n`);
  });
});
