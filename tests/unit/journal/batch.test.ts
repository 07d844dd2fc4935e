import { describe, expect, it } from "vitest";
import { takeBatch } from "../../../station/journal/batch.js";
import type { Action } from "../../../station/journal/protocol.js";
import { createQueue } from "../../../station/journal/queue.js";
import { reading } from "./samples.js";

const flush: Action = { name: "flush", params: null };
const never = () => false;
const series = (count: number) => Array.from({ length: count }, (_, i) => reading("coolant", i));

function newQueue() {
  return createQueue({ parcelReadings: 3, mostReadings: 1000, mostActions: 1000 });
}

describe("what goes on its way together", () => {
  it("is all that waits, in order, and nothing twice", () => {
    const queue = newQueue();
    for (let i = 0; i < 5; i++) queue.act(flush);
    expect(takeBatch(queue, 6, never).map(({ number }) => number)).toEqual([1, 2, 3, 4, 5]);
    queue.act(flush);
    expect(takeBatch(queue, 6, never).map(({ number }) => number)).toEqual([6]);
    expect(takeBatch(queue, 6, never)).toEqual([]);
  });

  it("has no further parcel once it has readings enough, or two hundred parcels", () => {
    const queue = newQueue();
    queue.add(series(12));
    expect(takeBatch(queue, 6, never).map(({ readings }) => readings?.count)).toEqual([3, 3]);
    for (let i = 0; i < 250; i++) queue.act(flush);
    expect(takeBatch(queue, 1000, never)).toHaveLength(200);
  });

  it("has what was gathered at its end, where it is time", () => {
    const queue = newQueue();
    queue.act(flush);
    queue.add(series(2));
    expect(takeBatch(queue, 6, never)).toHaveLength(1);
    queue.act(flush);
    queue.add(series(1));
    const wrapped = () => {
      queue.wrap();
      return true;
    };
    expect(takeBatch(queue, 6, wrapped).map(({ readings }) => readings?.count ?? 0)).toEqual([2, 1]);
  });
});
