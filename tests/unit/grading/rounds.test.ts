import { describe, expect, it } from "vitest";
import { createRounds } from "../../../ui/src/grading/rounds.js";

/** Rounds whose answers and whose time are given by hand. */
function bench() {
  const answers: ((why: string | null) => void)[] = [];
  const told: (string | null)[] = [];
  let planned: { ms: number; then: () => void } | null = null;
  const rounds = createRounds({
    round: () => new Promise((resolve) => answers.push(resolve)),
    after(ms, then) {
      planned = { ms, then };
      return () => {
        planned = null;
      };
    },
    told: (why) => told.push(why),
  });
  return {
    rounds,
    told,
    begun: () => answers.length,
    async answer(why: string | null) {
      answers.at(-1)?.(why);
      await new Promise((next) => setImmediate(next));
    },
    planned: () => planned?.ms ?? null,
    async pass() {
      const due = planned;
      planned = null;
      due?.then();
      await new Promise((next) => setImmediate(next));
    },
  };
}

describe("rounds of sending", () => {
  it("come again after a longer while each time, and no longer than half a minute", async () => {
    const { rounds, answer, pass, planned, told } = bench();
    rounds.now();
    const waits: (number | null)[] = [];
    for (let i = 0; i < 8; i++) {
      await answer("no way");
      waits.push(planned());
      await pass();
    }
    expect(waits).toEqual([1000, 2000, 4000, 8000, 16_000, 30_000, 30_000, 30_000]);
    await answer(null);
    expect([planned(), told.at(-1)]).toEqual([null, null]);
  });

  it("are one at a time, with one more after it where something came in meanwhile", async () => {
    const { rounds, answer, begun, planned } = bench();
    rounds.now();
    rounds.now();
    rounds.now();
    expect(begun()).toBe(1);
    await answer(null);
    expect(begun()).toBe(2);
    await answer(null);
    expect([begun(), planned()]).toEqual([2, null]);
  });

  it("begin at once when the station is back, and count anew", async () => {
    const { rounds, answer, begun, pass, planned } = bench();
    rounds.now();
    for (let i = 0; i < 4; i++) {
      await answer("no way");
      await pass();
    }
    await answer("no way");
    expect(planned()).toBe(16_000);
    rounds.now();
    expect([begun(), planned()]).toEqual([6, null]);
    await answer("no way");
    expect(planned()).toBe(1000);
  });
});
