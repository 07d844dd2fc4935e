import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { readingsOf } from "../../../station/journal/columns.js";
import type { Action, Parcel } from "../../../station/journal/protocol.js";
import { createQueue, type ParcelQueue } from "../../../station/journal/queue.js";
import { ended, openRun, reading, transition } from "./samples.js";

const flush: Action = { name: "flush", params: null };

function series(from: number, count: number) {
  return Array.from({ length: count }, (_, i) => reading("coolant", from + i, from + i));
}

function values(parcel: Parcel | null): (number | null)[] {
  return parcel?.readings ? readingsOf(parcel.readings).map(({ value }) => value) : [];
}

function sendAll(queue: ParcelQueue): Parcel[] {
  const parcels: Parcel[] = [];
  for (let parcel = queue.next(); parcel !== null; parcel = queue.next()) parcels.push(parcel);
  return parcels;
}

describe("the queue of parcels", () => {
  it("makes a parcel when it is full, and one of what is gathered when asked", () => {
    const queue = createQueue({ parcelReadings: 3, mostReadings: 100, mostActions: 100 });
    queue.add(series(0, 7));
    expect([queue.gathered, queue.waiting]).toEqual([1, 7]);
    queue.wrap();
    queue.wrap();
    expect(sendAll(queue).map(values)).toEqual([[0, 1, 2], [3, 4, 5], [6]]);
  });

  it("puts an action behind the readings that came before it", () => {
    const queue = createQueue({ parcelReadings: 3, mostReadings: 100, mostActions: 100 });
    queue.add(series(0, 2));
    queue.act(flush);
    queue.add(series(2, 1));
    queue.act(flush);
    const parcels = sendAll(queue);
    expect(parcels.map(values)).toEqual([[0, 1], [2]]);
    expect(parcels.map(({ action }) => action?.name)).toEqual(["flush", "flush"]);
  });

  it("keeps what is on its way until it is settled, and sends it again after a rewind", () => {
    const queue = createQueue({ parcelReadings: 2, mostReadings: 100, mostActions: 100 });
    queue.add(series(0, 4));
    const [first, second] = sendAll(queue);
    queue.settled(first?.number ?? 0);
    expect([queue.waiting, queue.empty]).toEqual([2, false]);
    queue.rewind();
    expect(sendAll(queue)).toEqual([second]);
    queue.settled(second?.number ?? 0);
    expect([queue.waiting, queue.empty]).toEqual([0, true]);
  });

  it("drops the oldest readings that are not on their way, counts them, and never an action", () => {
    const queue = createQueue({ parcelReadings: 2, mostReadings: 6, mostActions: 100 });
    queue.add(series(0, 2));
    queue.next();
    queue.add(series(2, 1));
    queue.act(flush);
    queue.add(series(3, 5));
    expect([queue.dropped, queue.waiting]).toEqual([3, 5]);
    const rest = sendAll(queue);
    expect(rest.map(values)).toEqual([[], [5, 6]]);
    expect(rest[0]?.action).toEqual(flush);
    queue.rewind();
    expect(values(queue.next())).toEqual([0, 1]);
  });

  it("refuses actions beyond its bound and counts them, but never the beginning or the end of a run", () => {
    const queue = createQueue({ parcelReadings: 2, mostReadings: 6, mostActions: 2 });
    const alarm: Action = { name: "alarmTransition", params: transition("1-1") };
    const begun: Action = { name: "runBegun", params: openRun("r1") };
    const finished: Action = { name: "runEnded", params: ended(openRun("r1")) };
    const numbers = [alarm, begun, alarm, finished, begun].map((action) => queue.act(action));
    expect(numbers).toEqual([1, 2, null, 3, 4]);
    expect(queue.refused).toBe(1);
    const parcels = sendAll(queue);
    expect(parcels.map(({ action }) => action)).toEqual([alarm, begun, finished, begun]);

    for (const { number } of parcels.slice(0, 3)) queue.settled(number);
    expect([queue.act(alarm), queue.act(alarm)]).toEqual([5, null]);
    queue.abandon();
    expect([queue.act(alarm), queue.refused]).toEqual([6, 2]);
  });

  it("never holds more than its bound, and neither loses nor doubles nor reorders what it does not count as dropped", () => {
    const step = fc.oneof(
      fc.record({ do: fc.constant("add" as const), count: fc.integer({ min: 0, max: 9 }) }),
      fc.record({
        do: fc.constantFrom("act" as const, "send" as const, "settle" as const, "rewind" as const),
      }),
    );
    fc.assert(
      fc.property(fc.array(step, { maxLength: 80 }), (steps) => {
        const queue = createQueue({ parcelReadings: 4, mostReadings: 20, mostActions: 100 });
        const settled: (number | null)[] = [];
        let actions = 0;
        let actionsSettled = 0;
        let given = 0;
        let onTheirWay: Parcel[] = [];
        const settle = (parcel: Parcel | undefined) => {
          if (parcel === undefined) return;
          settled.push(...values(parcel));
          if (parcel.action !== null) actionsSettled++;
          queue.settled(parcel.number);
        };
        for (const one of steps) {
          if (one.do === "add") {
            queue.add(series(given, one.count));
            given += one.count;
          } else if (one.do === "act") {
            queue.act(flush);
            actions++;
          } else if (one.do === "send") {
            const parcel = queue.next();
            if (parcel !== null) onTheirWay.push(parcel);
          } else if (one.do === "settle") {
            settle(onTheirWay.shift());
          } else {
            queue.rewind();
            onTheirWay = [];
          }
          expect(queue.waiting).toBeLessThanOrEqual(20);
          expect(settled.length + queue.waiting + queue.dropped).toBe(given);
        }
        queue.wrap();
        for (const parcel of [...onTheirWay, ...sendAll(queue)]) settle(parcel);
        expect(settled).toEqual([...settled].sort((a, b) => (a ?? 0) - (b ?? 0)));
        expect(new Set(settled).size).toBe(settled.length);
        expect(settled.length + queue.dropped).toBe(given);
        expect([actionsSettled, queue.empty]).toEqual([actions, true]);
      }),
    );
  });

  it("gives everything up when abandoned, and says which actions went with it", () => {
    const queue = createQueue({ parcelReadings: 2, mostReadings: 100, mostActions: 100 });
    queue.add(series(0, 3));
    const action = queue.act(flush);
    queue.add(series(3, 1));
    expect(queue.abandon()).toEqual([action]);
    expect([queue.waiting, queue.dropped, queue.empty]).toEqual([0, 4, true]);
  });
});
