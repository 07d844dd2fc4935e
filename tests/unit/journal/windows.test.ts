import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { type Columns, readingsOf } from "../../../station/journal/columns.js";
import { createReads, type Reads } from "../../../station/journal/reads.js";
import { STRETCH_ROWS } from "../../../station/journal/schema.js";
import { BLOCK_READINGS } from "../../../station/journal/windows.js";
import { createWriter } from "../../../station/journal/writer.js";
import type { Reading } from "../../../station/model/reading.js";
import { type Bench, blocksOf, channel, columnsOf, reading, sessionStart, writerBench } from "./samples.js";

let bench: Bench;
let reads: Reads;
beforeEach(() => {
  bench = writerBench();
  reads = createReads(bench.db);
  bench.put([], { name: "channelsDefined", params: [channel("coolant"), channel("room")] });
});
afterEach(() => bench.remove());

function replay(
  fromMono: number,
  toMono: number,
  channels?: readonly string[],
  bootId = "boot-1",
): Reading[] {
  const window = { bootId, fromMono, toMono, ...(channels === undefined ? {} : { channels }) };
  return blocksOf(reads, window).flat();
}

function lastBefore(mono: number, withinMs = 7_200_000, bootId = "boot-1"): Reading[] {
  return readingsOf(reads.lastReadingsBefore({ bootId, mono, withinMs }) as Columns);
}

describe("a replay", () => {
  it("gives a window's readings in the order they were written, both ends included, over several stretches", () => {
    const many = Array.from({ length: 2 * STRETCH_ROWS }, (_, i) =>
      reading(i % 3 === 0 ? "room" : "coolant", i - (i % 7), i),
    );
    bench.put(many);
    const [from, to] = [1000 + 3000, 1000 + 5000];
    const inside = many.filter(({ at }) => at.mono >= from && at.mono <= to);
    expect(replay(from, to)).toEqual(inside);
    expect(replay(from, to, ["room"])).toEqual(inside.filter(({ channel: id }) => id === "room"));
    expect(replay(from, to, [])).toEqual([]);
  });

  it("comes in blocks none of which is large, together the same as at once, whatever is asked for", () => {
    const many = Array.from({ length: 5 * STRETCH_ROWS + 77 }, (_, i) =>
      reading(i % 50 === 0 ? "lid" : i % 3 === 0 ? "room" : "coolant", i, i),
    );
    for (let i = 0; i < many.length; i += 3000) bench.put(many.slice(i, i + 3000));
    const last = 1000 + many.length;
    for (const [fromMono, toMono] of [
      [0, Number.MAX_SAFE_INTEGER],
      [1000 + STRETCH_ROWS, 1000 + 3 * STRETCH_ROWS - 1],
      [1000 + 10, last - 10],
      [last, last + 10],
    ] as const) {
      for (const channels of [undefined, ["lid"], ["lid", "room"], []]) {
        const only = channels === undefined ? {} : { channels };
        const blocks = blocksOf(reads, { bootId: "boot-1", fromMono, toMono, ...only });
        const expected = many.filter(
          ({ channel: id, at }) =>
            at.mono >= fromMono && at.mono <= toMono && (channels === undefined || channels.includes(id)),
        );
        expect(blocks.flat()).toEqual(expected);
        expect(Math.max(...blocks.map(({ length }) => length))).toBeLessThanOrEqual(BLOCK_READINGS);
      }
    }
  });

  it("walks only so much for one block, even where it finds nothing in it", () => {
    bench.put([reading("lid", 0, 1)]);
    // A stretch for each: other rows come between.
    const other = createWriter(bench.db, sessionStart({ start: "start-2", bootId: "boot-2" }), () => 0);
    for (let i = 1; i <= 40; i++) {
      other.commit({ number: i, readings: columnsOf([reading("lid", i)]), action: null });
      bench.put([reading("room", i)]);
    }
    bench.put([reading("lid", 50, 2)]);
    const blocks = blocksOf(reads, { bootId: "boot-1", fromMono: 0, toMono: 9000, channels: ["lid"] });
    expect(blocks.map((block) => block.map(({ value }) => value))).toEqual([[1], [], [2]]);
  });

  it("keeps to one boot, over all its starts", () => {
    bench.put([reading("coolant", 1, 1)]);
    const second = createWriter(bench.db, sessionStart({ start: "start-2" }), () => 0);
    second.commit({ number: 1, readings: columnsOf([reading("coolant", 2, 2)]), action: null });
    const rebooted = createWriter(bench.db, sessionStart({ start: "start-3", bootId: "boot-2" }), () => 0);
    rebooted.commit({ number: 1, readings: columnsOf([reading("coolant", 1, 3)]), action: null });
    expect(replay(0, 10_000).map(({ value }) => value)).toEqual([1, 2]);
    expect(replay(0, 10_000, undefined, "boot-2").map(({ value }) => value)).toEqual([3]);
    expect(lastBefore(10_000).map(({ value }) => value)).toEqual([2]);
  });

  it("begins with the last reading of each channel before it", () => {
    bench.put([
      reading("coolant", 0, 1),
      reading("room", 100, 2),
      reading("lid", 150, null),
      reading("coolant", 200, 3),
    ]);
    bench.put([reading("coolant", 300, 4), reading("room", 400, 5)]);
    expect(lastBefore(1300).map(({ channel: id, value }) => [id, value])).toEqual([
      ["room", 2],
      ["lid", null],
      ["coolant", 3],
    ]);
    expect(lastBefore(1300, 120).map(({ channel: id }) => id)).toEqual(["coolant"]);
    expect(lastBefore(1000)).toEqual([]);
  });
});

describe("the last moment", () => {
  it("is that of the latest reading by monotonic time, of a boot or a session", () => {
    bench.put([reading("coolant", 500), reading("room", 400)]);
    const second = createWriter(bench.db, sessionStart({ start: "start-2" }), () => 0);
    second.commit({
      number: 1,
      readings: columnsOf([reading("coolant", 900), reading("room", 800)]),
      action: null,
    });
    expect(reads.lastReadingAt({ bootId: "boot-1" })).toEqual(reading("coolant", 900).at);
    expect(reads.lastReadingAt({ session: 1 })).toEqual(reading("coolant", 500).at);
    expect(reads.lastReadingAt({ bootId: "boot-9" })).toBeNull();
  });
});

describe("integrity", () => {
  it("finds nothing wrong with a journal that is well", () => {
    bench.put([reading("coolant", 1)]);
    expect(reads.integrity(null)).toEqual([]);
  });
});
