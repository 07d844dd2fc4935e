import { existsSync, readFileSync } from "node:fs";
import { dirname, resolve } from "node:path";
import { describe, expect, it } from "vitest";

/** Every file and package that a module of the station has loaded before its first line runs: types alone are not. */
function loadedBy(entry: string): Set<string> {
  const found = new Set<string>();
  const waiting = [resolve("station", entry)];
  for (let file = waiting.pop(); file !== undefined; file = waiting.pop()) {
    if (found.has(file)) continue;
    found.add(file);
    for (const [, what = "", from = ""] of readFileSync(file, "utf8").matchAll(
      /^(?:import|export)\s(?:([^;]*?)\sfrom\s)?"([^"]+)";/gm,
    )) {
      if (isOfTypes(what)) continue;
      if (from.startsWith(".")) waiting.push(resolve(dirname(file), from.replace(/\.js$/, ".ts")));
      else found.add(from);
    }
  }
  return found;
}

function isOfTypes(what: string): boolean {
  if (/^type\s/.test(what)) return true;
  const names = /^\{(.*)\}$/s.exec(what)?.[1]?.split(",") ?? [""];
  return (
    names.filter((name) => name.trim() !== "").every((name) => name.trim().startsWith("type ")) &&
    names.length > 1
  );
}

describe("what a thread of the journal loads", () => {
  // Schemas are some 3 MB of heap and twice that of memory in each thread that loads them.
  it.each([
    "journal/reader-thread.ts",
    "journal/trials/reads.ts",
    "journal/trials/views.ts",
    "journal/writer-thread.ts",
    "journal/soundness/look-thread.ts",
    "journal/backup/backup-thread.ts",
    "journal/exchange/export-thread.ts",
  ])("%s loads no schemas", (entry) => {
    const loaded = loadedBy(entry);
    expect(loaded.size).toBeGreaterThan(5);
    expect([...loaded].filter((each) => each === "zod" || each.endsWith("-schema.ts"))).toEqual([]);
  });

  it("finds them where there are some", () => {
    expect(existsSync("station/web/app.ts")).toBe(true);
    expect(loadedBy("web/app.ts")).toContain("zod");
  });

  it("loads what judges trials only when it is asked", () => {
    const judging = resolve("station/trials/decision/decide.ts");
    expect(loadedBy("journal/trials/reads.ts")).not.toContain(judging);
    expect(loadedBy("journal/reader-thread.ts")).not.toContain(judging);
    expect(loadedBy("journal/trials/views.ts")).toContain(judging);
  });

  it("keeps the library of serial ports out of a station that has none", () => {
    const loaded = loadedBy("main.ts");
    expect(loaded).toContain(resolve("station/sources/serial/port.ts"));
    expect([...loaded]).not.toContain("serialport");
  });
});
