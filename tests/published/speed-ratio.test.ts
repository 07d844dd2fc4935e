import { describe, expect, it } from "vitest";
import { SECOND, speedRatio } from "../../station/review/questions/speed-ratio.js";

/**
 * Source: tobacco budworm moths and a pyrethroid, 20 of each sex at each of six doses: D. Collett, Modelling Binary Data, 1991, as in W. N.
 * Venables and B. D. Ripley, Modern Applied Statistics with S, section 7.2, and the example of `predict.glm` in R. Alive stands for
 * through, the dose for the speed, females for the second stock. The ratio of the median doses and its limits by the profile of the
 * plain likelihood were computed with R 4.2.2 (glm, the deviance at each held ratio, uniroot).
 */
const DEAD = { male: [1, 4, 9, 13, 18, 20], female: [0, 2, 6, 10, 12, 16] };
const IN_R = {
  once: { estimate: 2.04815547418351, lower: 1.32459937689095, upper: 3.22407255374146 },
  twentyfold: { estimate: 2.04815547418, lower: 1.857422985, upper: 2.26036632984 },
};

function moths(times: number) {
  const rows = (["male", "female"] as const).flatMap((sex) =>
    DEAD[sex].flatMap((dead, i) =>
      Array.from({ length: 20 * times }, (_, moth) => ({
        log: i * Math.log(2),
        second: sex === "female" ? 1 : 0,
        alive: moth >= dead * times,
      })),
    ),
  );
  const terms = [
    { name: "log speed", values: rows.map(({ log }) => log) },
    { name: SECOND, values: rows.map(({ second }) => second) },
  ];
  return speedRatio(
    terms,
    rows.map(({ alive }) => alive),
    0.95,
  );
}

describe("the ratio of two thresholds", () => {
  it("is that of the likelihood where there are so many that the penalty is nothing", () => {
    const { estimate, lower, upper, p, n } = moths(20);
    expect(n).toBe(4800);
    expect(estimate).toBeCloseTo(IN_R.twentyfold.estimate, 2);
    expect((lower as number) / IN_R.twentyfold.lower).toBeCloseTo(1, 3);
    expect((upper as number) / IN_R.twentyfold.upper).toBeCloseTo(1, 3);
    expect(p).toBeLessThan(1e-40);
  });

  it("is near it for the 240 moths, where the penalty draws a little towards no difference", () => {
    const { estimate, lower, upper, p } = moths(1);
    expect((estimate as number) / IN_R.once.estimate).toBeCloseTo(1, 2);
    expect((lower as number) / IN_R.once.lower).toBeCloseTo(1, 1);
    expect((upper as number) / IN_R.once.upper).toBeCloseTo(1, 1);
    expect(p).toBeGreaterThan(0.0013);
    expect(p).toBeLessThan(0.0018);
  });
});
