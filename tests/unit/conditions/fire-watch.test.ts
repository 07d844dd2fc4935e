import { describe, expect, it } from "vitest";
import { smoulders } from "../../../safety/smoulder.js";
import {
  type FireWatchMemory,
  lookedAt,
  lookLevel,
  type Moment,
  viewFireWatch,
  watchAfter,
} from "../../../station/conditions/fire-watch.js";

const RULES = { lengthMin: 30, lookEveryMin: 10 };
const at = (minutes: number, bootId = "boot-1", ahead = 0): Moment => ({
  mono: minutes * 60_000,
  wall: 1_790_000_000_000 + (minutes + ahead) * 60_000,
  bootId,
});
const cut = (minutes: number, material = "3 mm birch ply"): FireWatchMemory | null =>
  watchAfter(null, { ended: at(minutes), material, smoulders: smoulders(material) });
const facts = { clock: "synchronised" as const, cutting: false, sinceCutMin: 0 };
const see = (memory: FireWatchMemory | null, minutes: number, more: object = {}) =>
  viewFireWatch(memory, { ...facts, now: at(minutes), ...more }, RULES);

describe("stock that smoulders", () => {
  it.each(["3 mm birch ply", "MDF", "grey board", "veg tan leather", "corrugated card", "oak veneer"])(
    "%s",
    (text) => {
      expect(smoulders(text)).toBe(text !== "grey board");
    },
  );
  it.each(["3 mm acrylic", "", undefined, "cast PMMA"])("is not %s", (text) => {
    expect(smoulders(text)).toBe(false);
  });
});

describe("the fire watch", () => {
  it("begins after a cut of stock that smoulders, for half an hour (29 CFR 1910.252: at least half an hour)", () => {
    expect(see(cut(100), 100)).toMatchObject({
      state: "watching",
      leftS: 1800,
      lookInS: 600,
      material: "3 mm birch ply",
      text: "Stay near: 3 mm birch ply can smoulder unseen and flare up later.",
    });
    expect(see(cut(100, "3 mm acrylic"), 100)).toMatchObject({ state: "none", offered: true });
    expect(see(null, 100, { sinceCutMin: null })).toMatchObject({ state: "none", offered: false });
  });

  it("asks for a look every ten minutes, and counts from the last one", () => {
    const memory = cut(0);
    expect(see(memory, 9.9).lookInS).toBe(6);
    expect(see(memory, 10)).toMatchObject({
      lookInS: 0,
      text: "Look at the bed and the tray now: 3 mm birch ply can smoulder unseen.",
    });
    const looked = memory && lookedAt(memory, at(12), "synchronised", RULES);
    expect(see(looked, 12)).toMatchObject({ looks: 1, lookInS: 600 });
    expect(see(looked, 12).leftS).toBe(18 * 60);
  });

  it("is not over without its last look", () => {
    let memory: FireWatchMemory | null = cut(0);
    for (const minutes of [10, 20, 29])
      memory = memory && lookedAt(memory, at(minutes), "synchronised", RULES);
    expect(see(memory, 29.5)).toMatchObject({ leftS: 30, lookInS: 30 });
    expect(see(memory, 31)).toMatchObject({ state: "watching", leftS: 0, lookInS: -60 });
    expect(memory && lookedAt(memory, at(31), "synchronised", RULES)).toBeNull();
  });

  it("grows more urgent the longer nobody looks", () => {
    const memory = cut(0);
    const level = (minutes: number) => lookLevel(see(memory, minutes));
    expect([9, 10, 11.9, 12, 14.9, 15, 90].map(level)).toEqual([0, 1, 1, 2, 2, 3, 3]);
    expect(lookLevel(see(null, 90))).toBe(0);
  });

  it("begins again with a cut within it, of whatever stock, and asks for no look while one cuts", () => {
    const again = watchAfter(cut(0), { ended: at(25), material: "3 mm acrylic", smoulders: false });
    expect(see(again, 25)).toMatchObject({ leftS: 1800, lookInS: 600, material: "3 mm birch ply" });
    const cutting = see(cut(0), 20, { cutting: true });
    expect(cutting).toMatchObject({ state: "cutting", lookInS: 0 });
    expect(lookLevel(cutting)).toBe(0);
    expect(cutting.text).toContain("Stay with the machine while it cuts");
  });

  it("goes on by the wall clock after the power came back, and from its beginning where that cannot be believed", () => {
    const memory = cut(100);
    const now = at(3, "boot-2", 112);
    expect(see(memory, 0, { now })).toMatchObject({ leftS: 15 * 60, lookInS: -5 * 60 });
    expect(see(memory, 0, { now, clock: "not synchronised" })).toMatchObject({ leftS: 1800, lookInS: 600 });
  });

  it("is none where the owner has set none", () => {
    const none = viewFireWatch(cut(0), { ...facts, now: at(20) }, { lengthMin: 0, lookEveryMin: 10 });
    expect(none).toMatchObject({ state: "none", offered: false });
  });

  it("never says that a machine may be left", () => {
    const texts = [see(cut(0), 0), see(cut(0), 11), see(cut(0), 5, { cutting: true }), see(null, 1)].map(
      ({ text }) => text,
    );
    for (const text of texts) expect(text).not.toMatch(/leave|go away|unattended|safe/i);
  });
});
