import { afterEach, beforeEach, expect, it } from "vitest";
import type { Action } from "../../../station/journal/protocol.js";
import { createReads, type Reads } from "../../../station/journal/reads.js";
import type { Deed, KeptDeed } from "../../../station/model/deed.js";
import { type Bench, sessionStart, WALL, writerBench } from "./samples.js";

let bench: Bench;
let reads: Reads;
beforeEach(() => {
  bench = writerBench();
  reads = createReads(bench.db);
});
afterEach(() => bench.remove());

function deed(i: number, changes: Partial<Deed> = {}): Deed {
  return {
    ...{ who: "Wall screen", role: "operator", address: "192.168.0.7", what: "fire-watch-look" },
    ...{ subject: `run:${i}`, outcome: "done", detail: { smell: ["none", "smoke"], ärger: null } },
    at: { wall: WALL + i, mono: 1000 + i },
    ...changes,
  };
}

function does(action: Action): unknown {
  const { result, refused } = bench.put([], action);
  expect(refused).toBeNull();
  return result;
}

function kept(i: number, changes: Partial<Deed> = {}): KeptDeed {
  return { ...deed(i, changes), id: i, bootId: "boot-1" };
}

it("a deed comes back as it was, newest first, a page at a time, all or those of some kinds", () => {
  const nobody = { who: null, role: null, address: null, detail: undefined };
  does({ name: "deed", params: deed(1) });
  does({ name: "deed", params: deed(2, { ...nobody, what: "sign-in", outcome: "refused" }) });
  does({ name: "deed", params: deed(3, { what: "checklist-before" }) });
  const second = kept(2, { ...nobody, what: "sign-in", outcome: "refused" });
  const third = kept(3, { what: "checklist-before" });
  expect(reads.deeds({ limit: 2 })).toEqual({ deeds: [third, second], more: true });
  expect(reads.deeds({ limit: 2, before: 2 })).toEqual({ deeds: [kept(1)], more: false });
  expect(reads.deeds({ limit: 9, what: ["sign-in", "checklist-before"], before: 3 })).toEqual({
    deeds: [second],
    more: false,
  });
  expect(reads.deeds({ limit: 9, what: [] })).toEqual({ deeds: [], more: false });
  expect(() => reads.deeds({ limit: 501 })).toThrow(/1 to 500/);
});

it("the last deeds of some kinds are told by the writing side, with those just handed over", () => {
  for (const i of [1, 2, 3]) does({ name: "deed", params: deed(i) });
  does({ name: "deed", params: deed(4, { what: "sign-in" }) });
  const last = (what: string[], limit: number) => does({ name: "lastDeeds", params: { what, limit } });
  expect(last(["fire-watch-look"], 2)).toEqual([kept(3), kept(2)]);
  expect(last(["sign-in", "fire-watch-look"], 2)).toEqual([kept(4, { what: "sign-in" }), kept(3)]);
  expect(last(["fire-watch-check"], 5)).toEqual([]);
  expect(bench.put([], { name: "lastDeeds", params: { what: [], limit: 0 } }).refused).toMatchObject({
    code: "request-invalid",
  });
});

it("a deed is neither changed nor taken away", () => {
  does({ name: "deed", params: deed(1) });
  for (const column of ["who", "role", "address", "what", "subject", "outcome", "detail"])
    expect(() => bench.db.exec(`UPDATE deed SET ${column} = 'x'`)).toThrow(/stays as it was/);
  for (const column of ["session", "mono", "id"])
    expect(() => bench.db.exec(`UPDATE deed SET ${column} = 1`)).toThrow(/stays as it was/);
  expect(() => bench.db.exec("DELETE FROM deed")).toThrow(/kept for ever/);
  expect(reads.deeds({ limit: 1 })).toEqual({ deeds: [kept(1)], more: false });
});

it("one that a worn card changed is not shown, and verify names it", () => {
  does({ name: "deed", params: deed(1) });
  bench.db.exec(
    "DROP TRIGGER deed_fixed; DROP TRIGGER temp.deed_updated; UPDATE deed SET outcome = 'refused'",
  );
  expect(() => reads.deeds({ limit: 1 })).toThrow(/entries of who did what are damaged/);
  expect(reads.integrity(null)).toEqual(["1 of the entries of who did what are not as they were written"]);
});

it("one from before the clock was set has its true time once it is", () => {
  const early = writerBench(
    sessionStart({ bootId: "boot-9", at: { wall: 0, mono: 0 }, clock: "not synchronised" }),
  );
  early.put([], { name: "deed", params: deed(1, { at: { wall: 5000, mono: 5000 } }) });
  const step = {
    at: { wall: WALL + 9000, mono: 9000 },
    shiftMs: WALL,
    before: "not synchronised",
    after: "synchronised",
  } as const;
  early.put([], { name: "clockStepped", params: step });
  early.put([], { name: "deed", params: deed(2, { at: { wall: 6000, mono: 6000 } }) });
  const { deeds } = createReads(early.db).deeds({ limit: 5 }) as { readonly deeds: readonly KeptDeed[] };
  expect(deeds.map(({ at }) => at.wall)).toEqual([WALL + 6000, WALL + 5000]);
  early.remove();
});
