import { afterEach, beforeEach, expect, it, vi } from "vitest";
import type { Clock } from "../../../station/model/instant.js";
import type { Source, SourceSink } from "../../../station/model/source.js";
import { createLooker } from "../../../station/setup/looker.js";
import { type DriverEntry, driverEntrySchema } from "../../../station/sources/drivers.js";

const entry = (id: string, line = 17) => driverEntrySchema.parse({ id, driver: "digital-input", line });

/** Sources that do nothing by themselves, and say whether they run. */
class Bench {
  mono = 0;
  readonly open = new Map<string, SourceSink>();
  readonly begun: string[] = [];
  ending: Promise<void> = Promise.resolve();
  readonly clock: Clock = {
    now: () => ({ wall: this.mono, mono: this.mono }),
    bootId: "boot",
    state: () => "synchronised",
  };
  readonly create = (made: DriverEntry): Source => ({
    id: made.id,
    start: (sink) => {
      this.begun.push(made.id);
      this.open.set(made.id, sink);
    },
    stop: async () => {
      await this.ending;
      this.open.delete(made.id);
    },
    status: () => {
      throw new Error("not asked");
    },
    check: async () => [],
  });
  say(source: string, value: number, more: object = {}): void {
    this.open.get(source)?.reading(this.raw(source, value, more));
  }
  raw(source: string, value: number, more: object = {}) {
    const at = this.clock.now();
    return { source, point: "temperature", at, value, unit: "Cel" as const, ...more };
  }
}

let bench: Bench;
beforeEach(() => {
  vi.useFakeTimers();
  bench = new Bench();
});
afterEach(() => vi.useRealTimers());

it("reads what is wanted once, and gives back what is wanted no more", async () => {
  const looker = createLooker({ ...bench });
  looker.look("page", [entry("a"), entry("b")]);
  looker.look("page", [entry("a"), entry("b")]);
  expect(bench.begun).toEqual(["a", "b"]);
  bench.say("a", 20);
  bench.say("b", 21);
  looker.look("page", [entry("b")]);
  await vi.advanceTimersByTimeAsync(0);
  expect([...bench.open.keys()]).toEqual(["b"]);
  expect(looker.seen().map(({ source, value }) => [source, value])).toEqual([["b", 21]]);
  await looker.stop();
  expect(bench.open.size).toBe(0);
});

it("waits for a line to be given back before it takes it with another setting", async () => {
  let over = () => {};
  bench.ending = new Promise((resolve) => {
    over = resolve;
  });
  const looker = createLooker({ ...bench });
  looker.look("page", [entry("a", 17)]);
  looker.look("page", [entry("a", 18)]);
  expect(bench.begun).toEqual(["a"]);
  over();
  await vi.advanceTimersByTimeAsync(0);
  looker.look("page", [entry("a", 18)]);
  expect(bench.begun).toEqual(["a", "a"]);
});

it("ends by itself two minutes after the page asked last", async () => {
  const looker = createLooker({ ...bench });
  looker.look("page", [entry("a")]);
  await vi.advanceTimersByTimeAsync(119_000);
  looker.look("page", [entry("a")]);
  await vi.advanceTimersByTimeAsync(119_000);
  expect(bench.open.size).toBe(1);
  await vi.advanceTimersByTimeAsync(1_000);
  expect(bench.open.size).toBe(0);
  looker.heard(bench.raw("running", 5));
  expect(looker.seen()).toEqual([]);
});

it("goes to the page that asked last, and tells the other, which may come back under another name", () => {
  const looker = createLooker({ ...bench });
  looker.look("first", [entry("a")]);
  looker.look("second", [entry("a")]);
  expect(() => looker.look("first", [entry("a")])).toThrow(/Another page looks/);
  expect(() => looker.look("second", [entry("a")])).not.toThrow();
  looker.look("third", [entry("a")]);
  expect(() => looker.look("second", [entry("a")])).toThrow(/Another page looks/);
});

it("shows the running station's readings beside its own, and a trouble in words", () => {
  const looker = createLooker({ ...bench });
  looker.look("page", [entry("a")]);
  bench.say("a", 20);
  looker.heard(bench.raw("running", 18));
  bench.mono = 1000;
  const at = bench.clock.now();
  bench.open.get("a")?.reading({ source: "a", point: "temperature", at, fault: "crc-failed" });
  expect(looker.seen()).toMatchObject([
    { source: "a", value: null, unit: "Cel", trouble: expect.any(String) },
    { source: "running", value: 18, trouble: null },
  ]);
});

it("holds a verdict until another is asked for, and takes no doubted value for a touch", () => {
  const looker = createLooker({ ...bench });
  const both = (warm: number, cold: number, more: object = {}) => {
    looker.look("page", [entry("a"), entry("b")]);
    bench.say("a", warm, more);
    bench.say("b", cold);
  };
  const nameOf = (source: string) => `thing ${source}`;
  for (; bench.mono <= 10_000; bench.mono += 1000) both(20, 20);
  expect(looker.touch("one", nameOf).state).toBe("waiting");
  both(85, 20, { doubt: "sudden-jump" });
  for (; bench.mono <= 12_000; bench.mono += 1000) both(20, 20);
  expect(looker.touch("one", nameOf).moved).toEqual([]);
  for (; bench.mono <= 20_000; bench.mono += 1000) both(24, 20);
  expect(looker.touch("one", nameOf)).toMatchObject({ state: "one", moved: [{ key: "thing a", by: 4 }] });
  for (; bench.mono <= 90_000; bench.mono += 1000) both(24, 20);
  expect(looker.touch("one", nameOf).state).toBe("one");
  expect(looker.touch("two", nameOf)).toMatchObject({ state: "waiting", moved: [] });
  expect(looker.touch("two", () => null).state).toBe("waiting");
});
