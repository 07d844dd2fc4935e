import { describe, expect, it } from "vitest";
import { BEFORE_ANY_CUT, type RunOnFacts, stepRunOn, viewRunOn } from "../../../station/conditions/run-on.js";

const RUN_ON_S = 120;
type Told = Partial<RunOnFacts> & { readonly s: number };
const play = (...told: readonly Told[]) => {
  let memory = BEFORE_ANY_CUT;
  for (const { s, ...facts } of told) {
    const all = {
      nowMono: s * 1000,
      cutting: false,
      extraction: "running" as const,
      lidOpen: false,
      ...facts,
    };
    memory = stepRunOn(memory, all, RUN_ON_S);
  }
  return viewRunOn(memory, RUN_ON_S);
};
const CUT = [
  { s: 0, cutting: true },
  { s: 60, cutting: false },
] as const;

describe("the run-on after a cut", () => {
  it("is nothing before there was one", () => {
    expect(play({ s: 5 })).toMatchObject({ state: "idle", leftS: 0, early: null });
  });

  it("counts down while the extraction runs, and then says no more than its sensors tell", () => {
    expect(play(...CUT)).toMatchObject({ state: "clearing", leftS: 120 });
    expect(play(...CUT, { s: 61.2 }, { s: 100 })).toMatchObject({
      state: "clearing",
      leftS: 80,
      text: "Let the extraction run for 80 s more, and leave the lid closed.",
    });
    const clear = play(...CUT, { s: 179.9 }, { s: 180 });
    expect(clear).toMatchObject({ state: "clear", leftS: 0, early: null });
    expect(clear.text).toBe(
      "The extraction ran for 2 min after the cut, as far as its sensors tell. Look and smell before you open the lid; close it again if there is fume.",
    );
  });

  it("stands still while the extraction is off, and goes on where it left off", () => {
    const stopped = play(...CUT, { s: 80, extraction: "stopped" }, { s: 500, extraction: "stopped" });
    expect(stopped).toMatchObject({
      state: "cut-short",
      leftS: 100,
      early: "The extraction stopped 20 s after the cut",
    });
    const again = play(...CUT, { s: 80, extraction: "stopped" }, { s: 500 }, { s: 550 });
    expect(again).toMatchObject({ state: "clearing", leftS: 50 });
  });

  it("notes a lid that was opened early, and not one that was opened after", () => {
    expect(play(...CUT, { s: 90, lidOpen: true }, { s: 91 }).early).toBe(
      "The lid was opened 30 s after the cut",
    );
    expect(play(...CUT, { s: 180 }, { s: 181, lidOpen: true }).early).toBeNull();
    expect(play(...CUT, { s: 90, lidOpen: null }).early).toBeNull();
  });

  it("begins again with every cut", () => {
    const again = play(...CUT, { s: 90, lidOpen: true }, { s: 100, cutting: true }, { s: 130 });
    expect(again).toMatchObject({ state: "clearing", leftS: 120, early: null });
    expect(play(...CUT, { s: 100, cutting: true })).toMatchObject({ state: "cutting", leftS: 120 });
  });

  it("goes by the clock where no sensor sees the air, and says that", () => {
    const told = CUT.map((each) => ({ ...each, extraction: "unknown" as const }));
    const blind = play(...told, { s: 100, extraction: "unknown" }, { s: 190, extraction: "unknown" });
    expect(blind.state).toBe("clear");
    expect(blind.text).toContain("look and smell before you open the lid");
    expect(blind.text).not.toContain("as far as its sensors tell");
  });

  it("is nothing where the owner has set none", () => {
    expect(
      viewRunOn(
        stepRunOn(BEFORE_ANY_CUT, { nowMono: 1, cutting: false, extraction: "stopped", lidOpen: null }, 0),
        0,
      ).state,
    ).toBe("idle");
  });
});
