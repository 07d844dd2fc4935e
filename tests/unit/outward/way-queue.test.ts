import { describe, expect, it } from "vitest";
import type { Priority } from "../../../station/model/alarm.js";
import type { Told } from "../../../station/outward/told.js";
import { createWayQueue, type Item, type WayQueue } from "../../../station/outward/way-queue.js";
import { WALL } from "../journal/samples.js";
import { MINUTE } from "./outward-bench.js";

const SECOND = 1000;
const at = (ms: number) => ({ wall: WALL + ms, mono: ms });

function item(key: string, priority: Priority, ms = 0): Item {
  return { key, told: { id: key, priority } as Told, at: at(ms), thisBoot: true };
}

function queueOf(random = () => 0.5): WayQueue {
  return createWayQueue({ mostIn10Min: null, random });
}

/** Tries what may go at each second, all in vain. Returns what was tried and when, milliseconds. */
function failing(queue: WayQueue, from: number, to: number): [string, number][] {
  const tried: [string, number][] = [];
  for (let ms = from; ms < to; ms += SECOND) {
    const message = queue.next(at(ms), false);
    if (message === null) continue;
    tried.push([message.key, ms]);
    queue.failed("no", at(ms));
  }
  return tried;
}

describe("an urgent one behind low ones that failed", () => {
  it("has its first try at once, and not when the pause of the low one is over", () => {
    const queue = queueOf();
    queue.add([item("low", "low")]);
    // Seven failures: the next try is half an hour away.
    const from = failing(queue, 0, 35 * MINUTE).at(-1)?.[1] ?? 0;
    expect(queue.next(at(from + MINUTE), false)).toBeNull();
    queue.add([item("urgent", "urgent", from + MINUTE)]);
    expect(queue.nextTryMs(at(from + MINUTE))).toBe(0);
    expect(queue.next(at(from + MINUTE), false)?.key).toBe("urgent");
  });

  it("does not make the way hammer at a server that is down, nor takes a low one with it", () => {
    const queue = queueOf();
    queue.add([item("low", "low")]);
    failing(queue, 0, 35 * MINUTE);
    queue.add([...Array(5).keys()].map((i) => item(`urgent-${i}`, "urgent", 35 * MINUTE)));
    queue.add([item("other", "low", 35 * MINUTE)]);
    const tried = failing(queue, 35 * MINUTE, 36 * MINUTE);
    expect(tried.map(([key]) => key)).toEqual(["urgent-0", "urgent-1", "urgent-2", "urgent-3"]);
    expect(tried.map(([, ms]) => (ms - 35 * MINUTE) / SECOND)).toEqual([0, 15, 30, 45]);
  });

  it("that failed itself is tried again within minutes, although low ones go on failing", () => {
    // The message's own pause as long as it may be, the way's as short: a low one comes in between each time.
    let drawn = 0;
    const queue = queueOf(() => (drawn++ % 2 === 0 ? 1 : 0));
    queue.add([item("low", "low")]);
    const from = 4 * 60 * MINUTE;
    failing(queue, 0, from);
    queue.add([item("urgent", "urgent", from), item("other", "low", from)]);
    const tries = failing(queue, from, from + 120 * MINUTE).filter(([key]) => key === "urgent");
    // Its own pause and the way's after it: five minutes and a quarter more at most, each of them.
    const apart = tries.slice(1).map(([, ms], i) => ms - (tries[i]?.[1] ?? 0));
    expect(Math.max(...apart)).toBeLessThanOrEqual(12.5 * MINUTE + SECOND);
    expect(tries.length).toBeGreaterThan(15);
  });
});

describe("what is given up where too much waits", () => {
  it("is of the lowest priority first, and of those the oldest", () => {
    const queue = queueOf();
    queue.add([item("urgent", "urgent"), item("medium", "medium", 1), item("high", "high", 2)]);
    queue.add([...Array(510).keys()].map((i) => item(`low-${i}`, "low", 3 + i)));
    const [gone] = queue.giveUp(at(SECOND));
    expect(gone?.keys).toEqual([...Array(13).keys()].map((i) => `low-${i}`));
    expect(gone?.standing).toMatchObject({
      state: "given-up",
      error: "too much waited, and this mattered least",
    });
    queue.add([...Array(500).keys()].map((i) => item(`high-${i}`, "high", SECOND + i)));
    const [next] = queue.giveUp(at(2 * SECOND));
    expect(next?.keys).toHaveLength(500);
    expect(next?.keys.filter((key) => !key.startsWith("low"))).toEqual(["medium", "high", "high-0"]);
    expect(queue.waiting).toBe(500);
    expect(queue.next(at(3 * SECOND), false)?.key).toBe("urgent");
  });

  it("is, where all are urgent, the oldest; and whatever waited for three days, though it is urgent", () => {
    const queue = queueOf();
    queue.add([...Array(501).keys()].map((i) => item(`urgent-${i}`, "urgent", i)));
    expect(queue.giveUp(at(SECOND)).flatMap(({ keys }) => keys)).toEqual(["urgent-0"]);
    expect(queue.giveUp(at(3 * 24 * 60 * MINUTE + SECOND)).flatMap(({ keys }) => keys)).toHaveLength(500);
    expect(queue.waiting).toBe(0);
  });
});
