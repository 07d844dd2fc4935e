import { describe, expect, it } from "vitest";
import { REVIEW_CONDITIONS, type ReviewRun } from "../../../../station/model/review.js";
import { reviewBadRun } from "../../../../station/review/questions/bad-run.js";
import { reviewConditions } from "../../../../station/review/questions/conditions.js";
import { history } from "../../../bench/histories.js";

const COOLANT = "coolant_C";
const season = history({ runs: 96, effects: { [COOLANT]: -1.2 } }, 81, 1);
const good: ReviewRun = { ...(season[0] as ReviewRun), through: true, speed_mm_s: 18 };
const withCoolant = (run: ReviewRun, value: number | undefined): ReviewRun => {
  const { [COOLANT]: _, ...others } = run.conditions;
  return { ...run, conditions: value === undefined ? others : { ...others, [COOLANT]: value } };
};
const bad = (coolant: number | undefined): ReviewRun =>
  withCoolant({ ...good, id: "bad", name: "Run 97", through: false }, coolant);

function asked(runs: readonly ReviewRun[], run: ReviewRun) {
  const all = [...runs, run];
  const answer = reviewBadRun(all, run.id, reviewConditions(all, REVIEW_CONDITIONS, []), REVIEW_CONDITIONS);
  const coolant = answer.conditions.find(({ condition }) => condition === COOLANT);
  if (coolant === undefined) throw new Error("Nothing is said of the coolant.");
  return { answer, coolant };
}

describe("why a run did not go through", () => {
  it("is explained by a condition that matters and was bad in it", () => {
    const { answer, coolant } = asked(season, bad(24));
    expect(coolant.verdict).toBe("explains");
    expect(coolant.sentence).toMatch(
      /^Coolant: explains\. It was 24\.0 °C here; \d+ good runs had .* all of them lower/,
    );
    expect(answer.sentence).toMatch(/^Coolant explains it\.$/);
    expect(coolant.good.length).toBe(answer.comparable.length);
  });

  it("is not explained by that condition where it was as in the good ones, or better", () => {
    expect(asked(season, bad(17)).coolant.verdict).toBe("no sign");
    expect(asked(season, bad(17)).coolant.sentence).toContain(
      "It matters over all runs, and here it was on the good side",
    );
  });

  it("says that it was the speed, where such pieces fail with the condition as usual too", () => {
    const { answer, coolant } = asked(season, { ...bad(21.5), speed_mm_s: 26 });
    expect(answer.sentence).toMatch(
      /^It was cut too fast for this stock\. At 26 mm\/s pieces of this stock fail nearly always/,
    );
    expect(coolant.verdict).toBe("no sign");
    expect(coolant.sentence).toMatch(/It matters over all runs, and did little here/);
    expect(asked(season, bad(24)).coolant.sentence).toMatch(
      /As it was, such a piece fails about \d times in 10, and .* with it at its usual \d+\.\d °C\.$/,
    );
  });

  it("holds a run that is alone in its lot against its material, and not against itself", () => {
    const lots = season.map((run) => ({ ...run, lot: "L1" }));
    for (const lot of ["L1", "L9"])
      expect(asked(lots, { ...bad(24), lot }).coolant.verdict, lot).toBe("explains");
  });

  it("counts a good run once that was taken in twice", () => {
    const wall = (good.wall as number) + 61_000;
    const twelve = Array.from({ length: 12 }, (_, i) =>
      withCoolant({ ...good, id: `good ${i}`, wall: wall + i * 120_000 }, 19.8 + 0.05 * i),
    );
    const again = [1, 2, 3].flatMap((time) =>
      twelve.map((run) => ({ ...run, id: `${run.id} again ${time}` })),
    );
    const once = asked(twelve, bad(22));
    expect(asked([...twelve, ...again], bad(22)).answer.comparable).toHaveLength(12);
    expect(asked([...twelve, ...again], bad(22)).coolant).toEqual(once.coolant);
  });

  it("takes nothing for far outside that was nearer to where it is right", () => {
    const off = history({ runs: 96, off: { focus_error_mm: -16 } }, 86, 1).map((run) => ({
      ...run,
      material: "Oak ply",
    }));
    const focused = Array.from({ length: 10 }, (_, i) => ({
      ...good,
      id: `good ${i}`,
      conditions: { focus_error_mm: 0.3 + 0.002 * i },
    }));
    const { answer } = asked([...off, ...focused], { ...bad(20), conditions: { focus_error_mm: 0 } });
    const focus = answer.conditions.find(({ condition }) => condition === "focus_error_mm");
    expect(focus?.verdict).toBe("no sign");
  });

  it("does not clear what was not as in the good ones because those were all alike", () => {
    const humid = (run: ReviewRun, humidity_pct: number) => ({
      ...run,
      conditions: { ...run.conditions, humidity_pct },
    });
    const alike = history({ runs: 60 }, 88, 1).map((run) => humid(run, 50));
    const { answer } = asked(alike, humid(bad(20), 90));
    const humidity = answer.conditions.find(({ condition }) => condition === "humidity_pct");
    expect(humidity?.verdict).toBe("may explain");
    expect(humidity?.sentence).toContain("far outside all that went through");
  });

  it("never says that there is no sign of what lay far outside all that went through", () => {
    const nothing = history({ runs: 60 }, 88, 1);
    for (const id of ["coolant_C", "room_C", "humidity_pct"]) {
      const far = { ...bad(20), conditions: { ...good.conditions, [id]: 150 } };
      const all = [...nothing, far];
      const answer = reviewBadRun(
        all,
        "bad",
        reviewConditions(all, REVIEW_CONDITIONS, []),
        REVIEW_CONDITIONS,
      );
      const its = answer.conditions.find(({ condition }) => condition === id);
      expect(its?.verdict).toBe("may explain");
    }
  });

  it("fills nothing in for what is not known of it", () => {
    const { coolant } = asked(season, bad(undefined));
    expect(coolant.verdict).toBe("cannot tell");
    expect(coolant.value).toBeNull();
    expect(coolant.placeP).toBeNull();
    expect(coolant.sentence).toContain("It is not known of this run");
  });

  it("says that three good runs are too few to tell", () => {
    const three = [19.8, 20, 20.3].map((value, i) =>
      withCoolant({ ...good, id: `good ${i}`, name: `Run ${i}` }, value),
    );
    const { answer, coolant } = asked(three, bad(26));
    expect(answer.comparable).toHaveLength(3);
    // Rank 4 of 4 at either end: 2 · 1 / 4.
    expect(coolant.placeP).toBe(0.5);
    expect(coolant.verdict).toBe("cannot tell");
    expect(coolant.sentence).toContain("3 good runs are too few to tell");
  });

  it("compares with the lot first, and with other lots of the material where it has too few", () => {
    const lots = season.map((run, i) => ({ ...run, lot: i < 90 ? "L1" : "L2" }));
    const inLot = asked(lots, { ...bad(20), lot: "L1" });
    expect(inLot.answer.why).toMatch(
      /^\d+ runs of Birch ply, lot L1 that went through with the same power and passes at/,
    );
    const few = asked(lots, { ...bad(20), lot: "L2" });
    expect(few.answer.why).toContain("Birch ply of any lot");
  });

  it("takes no run with another power or other passes, nor a much slower one", () => {
    const others = [
      { power_pct: 70 },
      { passes: 2 },
      { speed_mm_s: 9 },
      { material: "Acrylic" },
      { through: null },
    ].map((change, i) => ({ ...good, ...change, id: `other ${i}` }));
    const { answer } = asked(
      [...others, { ...good, id: "alike", power_pct: 61 }, { ...good, id: "faster", speed_mm_s: 30 }],
      bad(20),
    );
    expect(answer.comparable.map(({ id }) => id)).toEqual(["alike", "faster"]);
  });

  it("is asked only of a run that did not go through", () => {
    const over = reviewConditions(season, REVIEW_CONDITIONS, []);
    expect(() => reviewBadRun(season, "nope", over, REVIEW_CONDITIONS)).toThrow(/No run has the id "nope"/);
    const through = season.find((run) => run.through)?.id as string;
    expect(() => reviewBadRun(season, through, over, REVIEW_CONDITIONS)).toThrow(
      /Only a run that did not go through/,
    );
  });
});
