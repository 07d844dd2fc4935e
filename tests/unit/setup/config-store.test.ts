import {
  chmodSync,
  lstatSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  symlinkSync,
  writeFileSync,
} from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, test, vi } from "vitest";
import { BEFORE, type ConfigStore, configStore } from "../../../station/setup/config-store.js";

const fault = vi.hoisted(() => ({ code: null as string | null }));
vi.mock("node:fs/promises", async (original) => {
  const real = await original<typeof import("node:fs/promises")>();
  const open = async (...args: Parameters<typeof real.open>) => {
    if (fault.code !== null && args[1] === "wx") {
      throw Object.assign(new Error(fault.code), { code: fault.code });
    }
    return real.open(...args);
  };
  return { ...real, open };
});

const EXAMPLE = readFileSync(
  join(import.meta.dirname, "../../../firmware-notes/station.example.yaml"),
  "utf8",
);
const range = (low: number) => [{ edit: "set", path: ["coolant_range", "low"], value: low }] as const;

let folder: string;
let file: string;
let store: ConfigStore;
const now = () => readFileSync(file, "utf8");

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "config-"));
  file = join(folder, "station.yaml");
  store = configStore(file, EXAMPLE);
  fault.code = null;
});
afterEach(() => rmSync(folder, { recursive: true }));

describe("a configuration that is there", () => {
  beforeEach(() => {
    writeFileSync(file, EXAMPLE);
    chmodSync(file, 0o640);
  });

  test("a draft shows what would be other, and writes nothing", async () => {
    const { hash } = await store.read();
    const { text, difference } = await store.draft(range(16), hash);
    expect(text).toContain("low: 16");
    expect(difference.filter(({ what }) => what !== "same")).toEqual([
      { what: "removed", lines: ["coolant_range: { low: 15, high: 22 }"] },
      { what: "added", lines: ["coolant_range: { low: 16, high: 22 }"] },
    ]);
    expect(now()).toBe(EXAMPLE);
    expect(readdirSync(folder)).toEqual(["station.yaml"]);
  });

  test("is written with the rights that it had, and can be taken back, and that too", async () => {
    const first = await store.read();
    expect(first.canGoBack).toBe(false);
    const second = await store.write(range(16), first.hash);
    expect(now()).toContain("low: 16");
    expect(statSync(file).mode & 0o777).toBe(0o640);
    expect(statSync(file + BEFORE).mode & 0o777).toBe(0o640);
    expect(second.canGoBack).toBe(true);
    const third = await store.back(second.hash);
    expect(now()).toBe(EXAMPLE);
    await store.back(third.hash);
    expect(now()).toContain("low: 16");
    expect(readdirSync(folder).sort()).toEqual(["station.yaml", `station.yaml${BEFORE}`]);
  });

  test("one that was changed by hand meanwhile is left alone", async () => {
    const { hash } = await store.read();
    const mine = `${EXAMPLE}# by hand\n`;
    writeFileSync(file, mine);
    for (const act of [
      () => store.draft(range(16), hash),
      () => store.write(range(16), hash),
      () => store.back(hash),
    ]) {
      await expect(act()).rejects.toMatchObject({ code: "config-changed" });
    }
    expect(now()).toBe(mine);
  });

  test("of two that write at once the later is told so", async () => {
    const { hash } = await store.read();
    const told = await Promise.allSettled([store.write(range(16), hash), store.write(range(17), hash)]);
    expect(told.map(({ status }) => status)).toEqual(["fulfilled", "rejected"]);
    expect(now()).toContain("low: 16");
  });

  test("what would not be valid is refused with every fault, and nothing is written", async () => {
    const { hash } = await store.read();
    const edits = [...range(30), { edit: "drop", list: "sources", id: "beam" } as const];
    await expect(store.write(edits, hash)).rejects.toMatchObject({ code: "config-edit-refused" });
    await expect(store.write([{ edit: "drop", list: "sources", id: "none" }], hash)).rejects.toMatchObject({
      code: "config-edit-refused",
      message: expect.stringContaining("whose id is none"),
    });
    expect(now()).toBe(EXAMPLE);
    expect(readdirSync(folder)).toEqual(["station.yaml"]);
  });

  test.each([
    ["ENOSPC", "disk is full"],
    ["EROFS", "may not write"],
    ["EACCES", "may not write"],
  ])("a disk that says %s leaves it as it was, and what to do is said", async (code, words) => {
    const { hash } = await store.read();
    fault.code = code;
    await expect(store.write(range(16), hash)).rejects.toMatchObject({
      code: "config-not-written",
      message: expect.stringContaining(words),
    });
    expect(now()).toBe(EXAMPLE);
    expect(readdirSync(folder)).toEqual(["station.yaml"]);
  });

  test("a link to it stays one", async () => {
    const link = join(folder, "link.yaml");
    symlinkSync(file, link);
    const linked = configStore(link, EXAMPLE);
    await linked.write(range(16), (await linked.read()).hash);
    expect(lstatSync(link).isSymbolicLink()).toBe(true);
    expect(now()).toContain("low: 16");
  });

  test("a change that changes nothing leaves the way back as it is", async () => {
    const { hash } = await store.read();
    await store.write(range(15), hash);
    expect(readdirSync(folder)).toEqual(["station.yaml"]);
  });
});

describe("where there is no configuration yet", () => {
  test("the first one begins with the example and its comments, and going back leaves none", async () => {
    const none = await store.read();
    expect(none).toMatchObject({ text: null, canGoBack: false });
    const made = await store.write(range(16), none.hash);
    expect(now()).toBe(EXAMPLE.replace("low: 15", "low: 16"));
    expect(statSync(file).mode & 0o077).toBe(0);
    const gone = await store.back(made.hash);
    expect(gone).toMatchObject({ text: null, canGoBack: true });
    await store.back(gone.hash);
    expect(now()).toContain("low: 16");
  });

  test("there is nothing to go back to", async () => {
    const { hash } = await store.read();
    await expect(store.back(hash)).rejects.toMatchObject({ code: "config-no-way-back" });
  });
});
