import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { calibrate } from "../../../station/channels/calibrate.js";
import { createRandom, normal } from "../../../station/random.js";
import {
  type CalibrationPoint,
  calibratedU,
  ICE_WITHIN,
  ofCertificate,
  ofLimits,
  saidU,
  twoPoints,
} from "../../../station/setup/calibration.js";

const DS18B20 = 0.0625;
const said = (mean: number, sd = 0.02, count = 30) => ({ mean, sd, count, resolution: DS18B20 });
const ice: CalibrationPoint = { said: said(0.31), truth: 0, truthU: ofLimits(ICE_WITHIN) };
const warm: CalibrationPoint = { said: said(30.44), truth: 30, truthU: ofCertificate(0.2, 2) };

// The examples from memory, as are the numbers of their sections.
describe("published figures", () => {
  // JCGM 100:2008, 4.4.5 and its figure 2a: temperatures anywhere within 96 °C to 104 °C have u = a/√3 = 2.3 °C with a = 4 °C.
  test("limits: GUM 4.4.5", () => expect(ofLimits(4)).toBeCloseTo(2.3, 1));

  // JCGM 100:2008, 4.4.3: the mean of 20 readings with s = 1.489 °C has u = s/√20 = 0.333 °C.
  test("the mean of twenty readings: GUM 4.4.3", () => {
    expect(saidU({ mean: 100.145, sd: 1.489, count: 20, resolution: 0 })).toBeCloseTo(0.333, 3);
  });

  // JCGM 100:2008, F.2.2.1: the step of a digital display is u = 0.29 δ.
  test("the step of a display: GUM F.2.2.1", () => {
    expect(saidU({ mean: 0, sd: 0, count: 30, resolution: 1 })).toBeCloseTo(0.29, 2);
  });

  // JCGM 100:2008, 4.3.3, example: U = 240 µg for three standard deviations is u = 80 µg.
  test("a certificate: GUM 4.3.3", () => expect(ofCertificate(240, 3)).toBe(80));
});

describe("two points", () => {
  test("are what the file holds, and the calibrated probe then says the truth at both", () => {
    const made = twoPoints(ice, warm);
    if (!made.ok) throw new Error("expected a calibration");
    expect(made.calibration).toEqual({
      points: [
        [0.31, 0],
        [30.44, 30],
      ],
    });
    expect(calibrate(made.calibration, 0.31).value).toBeCloseTo(0, 9);
    expect(calibrate(made.calibration, 30.44).value).toBeCloseTo(30, 9);
    expect(made.slope).toBeCloseTo(30 / 30.13, 9);
  });

  test.each([
    ["another probe", ice, { ...warm, said: said(34) }, "high", "is it this probe"],
    ["the baths the wrong way round", warm, ice, "both", "the cold one first"],
    ["two baths too near", ice, { ...warm, said: said(9.2), truth: 9 }, "both", "10 °C apart"],
  ] as const)("%s is refused, with what was expected", (_, low, high, point, words) => {
    const made = twoPoints(low, high);
    if (made.ok) throw new Error("expected a fault");
    expect(made.faults).toEqual([{ point, expected: expect.stringContaining(words) }]);
  });

  test("the uncertainty agrees with many trials of the same errors (JCGM 101:2008, 7)", () => {
    const random = createRandom(20261127);
    for (const x of [-5, 0.31, 15, 22, 30.44, 45]) {
      const values: number[] = [];
      for (let i = 0; i < 20_000; i += 1) {
        // The rectangular parts too: what is compared is the standard deviation, which knows no shape.
        const step = (point: CalibrationPoint) =>
          point.said.mean +
          (normal(random) * point.said.sd) / Math.sqrt(point.said.count) +
          (random() - 0.5) * point.said.resolution;
        const [x1, x2] = [step(ice), step(warm)];
        const [t1, t2] = [
          ice.truth + (random() * 2 - 1) * ICE_WITHIN,
          warm.truth + normal(random) * warm.truthU,
        ];
        const at = x + (random() - 0.5) * DS18B20;
        values.push(t1 + ((at - x1) * (t2 - t1)) / (x2 - x1));
      }
      const mean = values.reduce((sum, value) => sum + value, 0) / values.length;
      const sd = Math.sqrt(values.reduce((sum, value) => sum + (value - mean) ** 2, 0) / (values.length - 1));
      expect(sd / calibratedU(ice, warm, x)).toBeCloseTo(1, 1);
    }
  });

  test("all points: nothing between them is less certain than the worse of them, and beyond it only grows", () => {
    const point = (truth: number) =>
      fc
        .record({
          sd: fc.double({ min: 0.001, max: 0.2, noNaN: true }),
          u: fc.double({ min: 0.01, max: 0.5, noNaN: true }),
        })
        .map(({ sd, u }): CalibrationPoint => ({ said: said(truth + 0.2, sd), truth, truthU: u }));
    fc.assert(
      fc.property(point(0), point(40), fc.double({ min: 0, max: 1, noNaN: true }), (low, high, share) => {
        const u = (x: number) => calibratedU(low, high, x);
        const x = low.said.mean + share * (high.said.mean - low.said.mean);
        expect(u(x)).toBeLessThanOrEqual(Math.max(u(low.said.mean), u(high.said.mean)) + 1e-9);
        expect(u(high.said.mean + 20)).toBeGreaterThan(u(high.said.mean + 10));
        expect(u(low.said.mean - 20)).toBeGreaterThan(u(low.said.mean - 10));
      }),
    );
  });
});
