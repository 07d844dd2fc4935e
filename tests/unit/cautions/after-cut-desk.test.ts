import { describe, expect, it } from "vitest";
import { smoulders } from "../../../safety/smoulder.js";
import { createAfterCutDesk } from "../../../station/cautions/after-cut-desk.js";
import type { Deed, KeptDeed } from "../../../station/model/deed.js";
import type { ClockState } from "../../../station/model/instant.js";
import type { Run } from "../../../station/model/run.js";

const WALL = 1_790_000_000_000;
const MIN = 60_000;

function desk(bootId = "boot-1", clock: ClockState = "synchronised", ahead = 0) {
  const kept: Deed[] = [];
  const looked: string[] = [];
  let mono = 0;
  const made = createAfterCutDesk({
    clock: {
      now: () => ({ wall: WALL + ahead + mono, mono }),
      bootId,
      state: () => clock,
      stop: () => undefined,
    } as never,
    rules: { runOnS: 120, lengthMin: 30, lookEveryMin: 10 },
    smoulders,
    keep: async (deed) => void kept.push(deed),
    looked: (by) => looked.push(by),
    changed: () => undefined,
  });
  const step = (cutting = false) =>
    made.step({ nowMono: mono, cutting, extraction: "running", lidOpen: null });
  return {
    ...{ made, kept, looked, step },
    later(minutes: number) {
      mono += minutes * MIN;
      return step();
    },
  };
}

const run = (endMin: number | null, material = "3 mm MDF", bootId = "boot-1"): Run =>
  ({
    ...{ id: `run-${endMin}`, bootId, settings: { material } },
    endMono: endMin === null ? null : endMin * MIN,
    endWall: endMin === null ? null : WALL + endMin * MIN,
  }) as unknown as Run;
const deed = (atMin: number, what = "fire-watch-look", bootId = "boot-1"): KeptDeed => ({
  ...{ id: 1, who: "wall", role: null, address: null, what, subject: "", outcome: "done", bootId },
  at: { mono: atMin * MIN, wall: WALL + atMin * MIN },
});

describe("after a cut", () => {
  it("watches for fire, keeps each look, and answers the alarms that asked for it", async () => {
    const { made, kept, looked, later } = desk();
    made.runChanged(run(0));
    expect(later(11).fireWatch).toMatchObject({ state: "watching", lookInS: -60 });
    const answer = await made.look("phone");
    expect(answer).toMatchObject({ kept: true, value: { fireWatch: { looks: 1, lookInS: 600 } } });
    expect(kept).toMatchObject([
      {
        who: "phone",
        what: "fire-watch-look",
        subject: "3 mm MDF",
        outcome: "done",
        detail: { over: false },
      },
    ]);
    expect(looked).toEqual(["phone"]);
    later(20);
    expect((await made.look(null)).value.fireWatch.state).toBe("none");
    expect(kept[1]).toMatchObject({ detail: { over: true } });
  });

  it("refuses a look where no watch is under way", () => {
    const { made } = desk();
    expect(() => made.look("wall")).toThrow(expect.objectContaining({ code: "fire-watch-none" }));
    made.runChanged(run(0, "3 mm acrylic"));
    expect(() => made.look("wall")).toThrow(expect.objectContaining({ code: "fire-watch-none" }));
  });

  it("offers a watch after a cut of which nobody said what it was, for half an hour", async () => {
    const { made, later } = desk();
    made.runChanged(run(0, ""));
    expect(later(5).fireWatch).toMatchObject({ state: "none", offered: true });
    expect((await made.begin("wall")).value.fireWatch).toMatchObject({ state: "watching", leftS: 25 * 60 });
    const late = desk();
    late.made.runChanged(run(0, ""));
    late.later(31);
    expect(() => late.made.begin("wall")).toThrow(expect.objectContaining({ code: "fire-watch-none" }));
  });

  it("counts the run-on of the extraction beside it", () => {
    const { made, step, later } = desk();
    step(true);
    expect(step().runOn).toMatchObject({ state: "clearing", leftS: 120 });
    expect(later(2).runOn.state).toBe("clear");
    expect(made.view().runOn.state).toBe("clear");
  });
});

describe("a watch after a restart", () => {
  it("goes on where it was, with the looks that were made", () => {
    const { made, later } = desk();
    later(15);
    made.takeUp([run(0)], [deed(9)]);
    expect(made.view().fireWatch).toMatchObject({ state: "watching", leftS: 900, lookInS: 240, looks: 1 });
  });

  it("is over where its last look was made, and given up the morning after where it was not", () => {
    const over = desk();
    over.later(40);
    over.made.takeUp([run(0)], [deed(9), deed(31)]);
    expect(over.made.view().fireWatch.state).toBe("none");
    const morning = desk("boot-2", "synchronised", 14 * 60 * MIN);
    morning.made.takeUp([run(0)], []);
    expect(morning.made.view().fireWatch.state).toBe("none");
  });

  it("is held from its beginning where no clock tells how long the power was off", () => {
    const { made, later } = desk("boot-2", "not synchronised", -999 * MIN);
    made.takeUp([run(0)], []);
    expect(made.view().fireWatch).toMatchObject({ state: "watching", leftS: 1800 });
    expect(later(12).fireWatch).toMatchObject({ leftS: 1080, lookInS: -120 });
  });

  it("begins with a run that the power cut short", () => {
    const { made } = desk("boot-2", "synchronised", 5 * MIN);
    made.takeUp([run(null)], []);
    expect(made.view().fireWatch).toMatchObject({ state: "watching", leftS: 1800 });
  });

  it("takes nothing over what was cut since the start", () => {
    const { made, later } = desk();
    made.runChanged(run(0, "3 mm acrylic"));
    later(1);
    made.takeUp([run(-5)], []);
    expect(made.view().fireWatch.state).toBe("none");
  });
});
