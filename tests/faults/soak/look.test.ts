import { afterEach, beforeEach, expect, it } from "vitest";
import type { Reading } from "../../../station/model/reading.js";
import { type Bench, channel, reading, sessionStart, writerBench } from "../../unit/journal/samples.js";
import type { Life } from "./life.js";
import { countLife, missing } from "./look.js";
import { COOLANT_EVERY_S, LINE_EVERY_S, type Line, NUMBERS } from "./shed.js";

const LENGTH_S = 600;
const sent: readonly Line[] = Array.from({ length: LENGTH_S / LINE_EVERY_S }, (_, i) => ({
  ...{ number: i, atS: i * LINE_EVERY_S, bytes: 80 * (i + 1), heard: true },
}));
const life: Life = {
  ...{ boot: { id: "boot-1", zeroS: -1 }, fromS: 0, toS: LENGTH_S, heldFromS: null, openedMs: 1 },
  ...{ lines: sent, bytesRead: 80 * sent.length, stopped: true },
};
const flowOf = ({ number, atS }: Line): Reading => reading("flow", atS * 1000, 2 + number / NUMBERS);
const coolant = sent.map(({ atS }) => reading("coolant-in", (atS / LINE_EVERY_S) * COOLANT_EVERY_S * 1000));

let bench: Bench;
beforeEach(() => {
  bench = writerBench(sessionStart());
  bench.put([], {
    name: "channelsDefined",
    params: [
      channel("flow", { kind: "coolant-flow", unit: "l/min", resolution: 1 / NUMBERS }),
      channel("coolant-in"),
    ],
  });
});
afterEach(() => bench.remove());

/** What is found wrong where the journal has these readings of the board. */
function wrongWith(
  flow: readonly Reading[],
  its: Life = life,
  water: readonly Reading[] = coolant,
): readonly string[] {
  bench.put([...flow, ...water].sort((a, b) => a.at.mono - b.at.mono));
  return countLife(bench.db, its, 0).wrong;
}
const all = sent.map(flowOf);

it("finds nothing wrong where every line that was read is there", () => {
  expect(wrongWith(all)).toEqual([]);
});
it("finds a line that is gone", () => {
  expect(wrongWith(all.toSpliced(20, 1))).toEqual([
    "start 1: 1 lines were read and are not there, the first of 200 s",
  ]);
});
it("finds a line that is there twice, and two that have changed places", () => {
  const extra = { ...all[20], at: { wall: 0, mono: 1000 + 205_000 } } as Reading;
  expect(wrongWith([...all, extra])[0]).toMatch(/lines were read and are not there, the first of 210 s/);
});
it("lets the last seconds before a kill go, and no more", () => {
  const killed = { ...life, stopped: false, toS: 598 };
  expect(wrongWith(all.slice(0, -1), { ...killed, toS: 592 })).toEqual([]);
  bench.remove();
  bench = writerBench(sessionStart({ start: "start-2" }));
  expect(wrongWith(all.slice(0, -2), killed)).toEqual([
    "start 1: 2 lines were read and are not there, the first of 580 s",
  ]);
});
it("lets go what was said to be held, and not what stands before it", () => {
  const held = { ...life, stopped: false, heldFromS: 400, toS: 600 };
  expect(wrongWith(all.slice(0, 40), held)).toEqual([]);
  expect(countLife(bench.db, held, 0)).toMatchObject({ kept: 40, held: 20 });
});
it("passes over a line that nobody listened to, and finds one that nobody sent", () => {
  const lines = sent.map((line, i) => (i === 3 ? { ...line, heard: false } : line));
  expect(wrongWith(all.toSpliced(3, 1), { ...life, lines })).toEqual([]);
  bench.put([reading("flow", 599_000, 2.777)]);
  expect(countLife(bench.db, { ...life, lines }, 0).wrong).toEqual([
    "start 1: 1 readings of the board more than it sent, or in another order",
  ]);
});
it("finds readings of a polled sensor that are too few, and too many", () => {
  expect(wrongWith(all, life, coolant.slice(0, 50))).toEqual([
    "start 1: 50 readings of the coolant where 60 to 60 were due",
  ]);
  const more = coolant.map((each) => ({ ...each, at: { ...each.at, mono: each.at.mono + 1 } }));
  bench.put(more);
  expect(countLife(bench.db, life, 0).wrong).toEqual([
    "start 1: 110 readings of the coolant where 60 to 60 were due",
  ]);
});
it("finds what was answered for and is not there", () => {
  const at = { wall: 0, mono: 0 };
  bench.put([], {
    name: "settingChanged",
    params: { subject: "job-sheet", path: "settings", old: null, new: { specimen: "s1" }, at, by: null },
  });
  bench.put([], { name: "maintenance", params: { kind: "optics-cleaned", at, note: "" } });
  const answered = [
    { what: "job-sheet", mark: "s1", atS: 1 },
    { what: "cleaned", mark: "", atS: 2 },
  ] as const;
  expect(missing(bench.db, answered)).toEqual([]);
  expect(
    missing(bench.db, [
      ...answered,
      { what: "job-sheet", mark: "s2", atS: 3 },
      { what: "acknowledged", mark: "person 4", atS: 4 },
      { what: "cleaned", mark: "", atS: 5 },
    ]),
  ).toEqual([
    "job-sheet s2 of 3 s was answered for and is not there",
    "acknowledged person 4 of 4 s was answered for and is not there",
    "2 cleanings were answered for, 1 are there",
  ]);
  const gone = { what: "job-sheet", mark: "s9", atS: 6 } as const;
  expect(missing(bench.db, [gone, ...answered], 1)).toEqual([]);
  expect(missing(bench.db, [...answered, gone], 1)).toHaveLength(1);
});
