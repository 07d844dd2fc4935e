import { afterEach, describe, expect, it } from "vitest";
import type { PlanFacts } from "../../../station/model/plan.js";
import type { PlanView, SpecimenView, TrialNow } from "../../../station/model/specimen.js";
import { createRandom } from "../../../station/random.js";
import { entry, ladder, NOTHING_LATE, planBench } from "./plan-bench.js";

const PLAN = "00000000-0000-4000-8000-00000000000a";
const OTHER = "00000000-0000-4000-8000-00000000000b";

let bench: ReturnType<typeof planBench>;
function benchOf(...parts: Parameters<typeof planBench>): void {
  bench = planBench(...parts);
  bench.addLots();
}
afterEach(() => {
  expect(bench.failures).toEqual([]);
  bench.remove();
});

function specimensOf(id: string): SpecimenView[] {
  const view = bench.reads.plan({ id, late: NOTHING_LATE }) as PlanView;
  return view.blocks.flatMap(({ specimens }) => specimens);
}

function now(): TrialNow {
  const shown = bench.desk.now();
  if (shown === null) throw new Error("No plan is running.");
  return shown;
}

async function begun(facts: PlanFacts): Promise<void> {
  await bench.desk.lay(PLAN, facts);
  await bench.desk.phase(PLAN, "running", "wall");
}

describe("the codes of specimens", () => {
  it("are given once, also while a plan that has them is on its way to the disk", async () => {
    let drawn = 0;
    let random = createRandom(3);
    benchOf(undefined, () => {
      drawn += 1;
      return random();
    });
    let release = () => {};
    bench.hold(new Promise<void>((resolve) => (release = resolve)));
    const one = ladder({ layout: { method: "ladder", vary: "speed", rungs: [10, 12, 14], replicates: 1 } });
    const laying = bench.desk.lay(PLAN, one);
    // Four letters for each of six.
    await expect.poll(() => drawn).toBe(24);
    random = createRandom(3);
    const another = bench.desk.lay(OTHER, one);
    await expect.poll(() => drawn).toBeGreaterThanOrEqual(72);
    release();
    await Promise.all([laying, another]);
    const codes = [PLAN, OTHER].flatMap((id) => specimensOf(id).map(({ code }) => code));
    expect(new Set(codes).size).toBe(12);
  });
});

const SEARCH: PlanFacts["layout"] = {
  ...{ method: "search", slowest_mm_s: 5, fastest_mm_s: 30, step_mm_s: 0.5 },
  ...{ within_pct: 3, most_cuts: 20, through_up_to: 1 },
};

describe("a search", () => {
  it("lays out a round at a time, and goes on by whether each was cut through", async () => {
    const tried: string[] = [];
    benchOf(async (view) => {
      const all = view.blocks.flatMap(({ specimens }) => specimens);
      tried.push(`${all.length}`);
      if (all.length >= 4) return { tries: [], found: ["stopped"] };
      return { tries: [0, 1].map((lot) => ({ lot, speed: 10 + all.length })), found: [] };
    });
    await begun(ladder({ layout: SEARCH, checks: [] }));
    const next = async (cause: "laser-on" | "foot-switch" = "foot-switch") => {
      await expect.poll(() => bench.desk.now()?.need.need).toBe("cut");
      const { settings } = bench.cut(cause);
      expect(now().need).toEqual({ need: "outcome", code: settings.specimen });
      // A beam may come on again over the same piece; what a person begins before the outcome is told is none of its.
      expect(bench.sheet().specimen).toBe(cause === "laser-on" ? settings.specimen : undefined);
      const grade = entry("grade", settings.specimen ?? "", { value: 0, grading: 1 }, "through");
      await bench.desk.enter([grade]);
      return settings.speed_mm_s;
    };
    expect([await next("laser-on"), await next(), await next(), await next()]).toEqual([10, 10, 12, 12]);
    await expect.poll(now).toMatchObject({ need: { need: "nothing" }, found: ["stopped"], cut: 4, of: 4 });
    expect(new Set(specimensOf(PLAN).map(({ block, lot }) => `${block} ${lot}`)).size).toBe(4);
  });

  it("lays a round out again that could not be kept, after a while and by itself", async () => {
    let refusing = true;
    const gone = new Error("the disk is full");
    benchOf(async () => {
      bench.refuse(refusing ? gone : null);
      return { tries: [{ lot: 0, speed: 10 }], found: [] };
    });
    await begun(ladder({ layout: SEARCH, checks: [] }));
    await expect.poll(() => bench.failures).toEqual([gone]);
    await expect.poll(() => now().need).toEqual({ need: "nothing" });
    refusing = false;
    bench.goOn();
    await expect.poll(() => specimensOf(PLAN)).toHaveLength(1);
    expect(now().need.need).toBe("cut");
    bench.failures.splice(0);
  });
});
