import fc from "fast-check";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { takeBatch } from "../../../../station/journal/batch.js";
import { createHold } from "../../../../station/journal/hold.js";
import type { Action, Parcel, Receipt } from "../../../../station/journal/protocol.js";
import { createQueue } from "../../../../station/journal/queue.js";
import { createReads } from "../../../../station/journal/reads.js";
import { createWriter } from "../../../../station/journal/writer.js";
import {
  type Bench,
  blocksOf,
  columnsOf,
  ended,
  openRun,
  reading,
  sessionStart,
  writerBench,
} from "../samples.js";

let bench: Bench;
beforeEach(() => {
  bench = writerBench();
});
afterEach(() => bench.remove());

const note = (i: number): Action => ({
  name: "maintenance",
  params: { kind: `done-${i}`, at: { wall: i, mono: i }, note: "" },
});
const notes = () => bench.db.prepare("SELECT kind FROM maintenance ORDER BY id").pluck().all();
const kept = () => {
  const window = { bootId: "boot-1", fromMono: 0, toMono: Number.MAX_SAFE_INTEGER };
  return blocksOf(createReads(bench.db), window)
    .flat()
    .map(({ value }) => value);
};
const series = (from: number, count: number) =>
  Array.from({ length: count }, (_, i) => reading("coolant", from + i, from + i));

describe("a parcel for whose readings there is no room", () => {
  it("is committed without them, and says that they were held", () => {
    const parcel = {
      number: 1,
      readings: columnsOf(series(0, 3)),
      action: { name: "runBegun" as const, params: openRun("r1") },
    };
    expect(bench.writer.commit(parcel, false)).toMatchObject({ held: true, result: { number: 1 } });
    expect(kept()).toEqual([]);
  });

  it("given again to the next writer, because the answer was lost, is done once and its readings are written", () => {
    const parcel = { number: 1, readings: columnsOf(series(0, 3)), action: note(1) };
    bench.writer.commit(parcel, false);
    const next = createWriter(bench.db, sessionStart(), () => 0);
    expect(next.commit(parcel)).toMatchObject({ held: false, lost: 0 });
    expect(next.commit(parcel)).toMatchObject({ held: false, tookMs: null });
    expect([notes(), kept()]).toEqual([["done-1"], [0, 1, 2]]);
  });

  it("of readings alone, is not taken for written because an action behind it was", () => {
    bench.writer.commit({ number: 1, readings: columnsOf(series(0, 2)), action: null }, false);
    bench.writer.commit({ number: 2, readings: null, action: note(2) });
    const next = createWriter(bench.db, sessionStart(), () => 0);
    next.commit({ number: 1, readings: columnsOf(series(0, 2)), action: null });
    expect([notes(), kept()]).toEqual([["done-2"], [0, 1]]);
  });

  it.each([
    ["while they are held", false, undefined, true],
    ["in the commit after which those that were held follow", true, true, true],
    ["where nothing is held", true, undefined, undefined],
  ] as const)("a stamp frozen %s says whether they were", (_, room, held, said) => {
    const run = openRun("r1");
    bench.put([], { name: "runBegun", params: run });
    const ending = { name: "runEnded" as const, params: ended(run) };
    bench.writer.commitTogether(
      [{ number: 9, readings: columnsOf(series(0, 2)), action: ending }],
      room,
      held,
    );
    const row = bench.db.prepare<[], string>("SELECT stamp FROM run").pluck().get() ?? "";
    expect(JSON.parse(row).readingsHeld).toBe(said);
  });
});

type Step =
  | { readonly step: "readings"; readonly count: number }
  | { readonly step: "send"; readonly most: number }
  | { readonly step: "act" | "hear" | "fill" | "empty" | "look" | "end" };

const anyStep: fc.Arbitrary<Step> = fc.oneof(
  fc.record({ step: fc.constant("readings" as const), count: fc.integer({ min: 1, max: 5 }) }),
  fc.record({
    step: fc.constant("send" as const),
    // Readings in a batch: a parcel by itself, or two or three together, and actions with them.
    most: fc.integer({ min: 1, max: 8 }),
  }),
  fc.record({ step: fc.constantFrom("act" as const, "act" as const, "hear" as const) }),
  fc.record({ step: fc.constantFrom("fill" as const, "empty" as const, "look" as const, "end" as const) }),
);

/**
 * The main thread and the writing thread as they are joined by `delivery` and `writer-thread`: parcels on their way are
 * carried out in order, answers and the word that there is room come in order, and the writing side may end before they
 * are heard.
 */
function joined(): {
  go(step: Step): void;
  settle(): void;
  readonly readings: number;
  readonly acts: number;
} {
  const queue = createQueue({ parcelReadings: 3, mostReadings: 1e6, mostActions: 1e6 });
  let writer = bench.writer;
  let room = true;
  let holding = false;
  const hold = createHold(queue);
  let readings = 0;
  let acts = 0;
  let unheard: ({ parcels: readonly Parcel[]; receipts: readonly Receipt[] } | "room")[] = [];
  const onTheirWay = () => unheard.filter((each) => each !== "room").length;
  const hear = () => {
    const heard = unheard.shift();
    if (heard === undefined) return;
    if (heard === "room") {
      hold.release();
      return;
    }
    for (const [i, parcel] of heard.parcels.entries()) {
      const receipt = heard.receipts[i] as Receipt;
      queue.settled(parcel.number, receipt.held);
      hold.answered(parcel, receipt);
    }
  };
  const send = (most: number) => {
    if (hold.releasing) {
      if (onTheirWay() > 0) return;
      hold.giveAgain();
    }
    if (onTheirWay() === 2) return;
    const parcels = takeBatch(queue, most, () => false);
    if (parcels.length === 0) return;
    if (parcels.some(hold.resumesWith)) holding = false;
    holding ||= parcels.some(({ readings }) => readings !== null) && !room;
    unheard.push({ parcels, receipts: writer.commitTogether(parcels, !holding) });
  };
  const go = (step: Step) => {
    switch (step.step) {
      case "readings":
        queue.add(series(readings, step.count));
        readings += step.count;
        return;
      case "act":
        queue.act(note(acts));
        acts++;
        return;
      case "send":
        queue.wrap();
        send(step.most);
        return;
      case "hear":
        hear();
        return;
      case "fill":
        room = false;
        return;
      case "empty":
        room = true;
        return;
      case "look":
        if (holding && room) unheard.push("room");
        return;
      case "end":
        unheard = [];
        queue.rewind();
        writer = createWriter(bench.db, sessionStart(), () => 0);
        holding = false;
        hold.reopened();
        if (hold.releasing) hold.giveAgain();
        return;
    }
  };
  return {
    go,
    settle() {
      room = true;
      while (!queue.empty) {
        while (unheard.length > 0) hear();
        if (queue.holds) hold.release();
        queue.wrap();
        send(1);
      }
    },
    get readings() {
      return readings;
    },
    get acts() {
      return acts;
    },
  };
}

describe("readings that are held while the disk is full", () => {
  const steps = (words: string) =>
    words.split(" ").map(
      // What a step does not ask for, it does not look at.
      (step): Step => ({ step, count: 2, most: 1 }) as Step,
    );

  it.each([
    ["given again", "fill readings send hear empty look hear send end"],
    [
      "given again, and told of room a second time",
      "fill readings send hear empty look look hear send hear end",
    ],
  ])("and written, %s, are not written twice where the thread ended before that was heard", (_how, words) => {
    const both = joined();
    for (const step of steps(words)) both.go(step);
    both.settle();
    expect(kept()).toEqual(Array.from({ length: both.readings }, (_, i) => i));
  });

  it("are all written once and in order when there is room, whatever happens between; so is every action", () => {
    fc.assert(
      fc.property(fc.array(anyStep, { maxLength: 60 }), (steps) => {
        bench.remove();
        bench = writerBench();
        const both = joined();
        for (const step of steps) both.go(step);
        both.settle();
        expect(kept()).toEqual(Array.from({ length: both.readings }, (_, i) => i));
        expect(notes()).toEqual(Array.from({ length: both.acts }, (_, i) => `done-${i}`));
      }),
      { numRuns: 150 },
    );
  });
});
