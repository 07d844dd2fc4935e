import { describe, expect, test } from "vitest";
import { createBench, type PointReport } from "../../../station/sources/bench-simulator/bench.js";
import { DEMO_COOLANT_RANGE, DEMO_SOURCE } from "../../../station/sources/bench-simulator/channels.js";
import { benchSimulatorEntrySchema } from "../../../station/sources/bench-simulator/entry.js";
import { BENCH_POINTS, type BenchPoint, isState } from "../../../station/sources/bench-simulator/points.js";
import { SENSOR_STEP, sense } from "../../../station/sources/bench-simulator/sensing.js";

type Timed = PointReport & { readonly timeS: number };

const benchOf = (more: object = {}) =>
  createBench(benchSimulatorEntrySchema.parse({ id: "bench", driver: "bench-simulator", ...more }));

function trace(more: object, seconds: number): Timed[] {
  const bench = benchOf(more);
  const reports: Timed[] = [];
  while (bench.step <= seconds * 10) {
    for (const report of bench.report()) reports.push({ ...report, timeS: bench.step / 10 });
    bench.go();
  }
  return reports;
}

const valuesOf = (reports: readonly Timed[], point: BenchPoint) =>
  reports.flatMap((each) =>
    each.point === point && "value" in each ? [{ timeS: each.timeS, value: each.value }] : [],
  );

const at = (reports: readonly Timed[], point: BenchPoint, timeS: number) =>
  valuesOf(reports, point).findLast((each) => each.timeS <= timeS)?.value ?? Number.NaN;

describe("a bench", () => {
  test("tells the same with the same seed, and otherwise with another", () => {
    const first = trace({ seed: 11 }, 300);
    expect(trace({ seed: 11 }, 300)).toEqual(first);
    expect(trace({ seed: 12 }, 300)).not.toEqual(first);
  });

  test("is peaceful for two hours unless something is scripted", () => {
    for (const seed of [1, 2, 3]) {
      const bench = benchOf({ seed });
      for (; bench.step < 72_000; bench.go()) {
        const reports = bench.report();
        const value = (point: BenchPoint) => {
          const found = reports.find((each) => each.point === point);
          return found !== undefined && "value" in found ? found.value : null;
        };
        const coolant = value("coolant-inlet");
        if (coolant === null) continue;
        expect(coolant).toBeGreaterThan(DEMO_COOLANT_RANGE.low + 2);
        expect(coolant).toBeLessThan(DEMO_COOLANT_RANGE.high - 3);
        // Dew point from the Magnus form, solved for the temperature (WMO-No. 8, annex 4.B).
        const x = Math.log((value("room-humidity") ?? 100) / 100);
        const room = value("room-temperature") ?? 100;
        const sum = x + (17.62 * room) / (243.12 + room);
        expect(coolant - (243.12 * sum) / (17.62 - sum)).toBeGreaterThan(5);
        expect(value("coolant-flowing")).toBe(1);
        if (value("laser-on") === 1) expect(value("extraction-running")).toBe(1);
      }
    }
  });

  test("rounds as its sensors do, with noise of a step or two", () => {
    const reports = trace({ seed: 4 }, 400);
    for (const [point, step] of Object.entries(SENSOR_STEP) as [keyof typeof SENSOR_STEP, number][]) {
      const values = valuesOf(reports, point).map((each) => each.value);
      expect(values).toHaveLength(401);
      for (const value of values)
        expect(Math.abs(value / step - Math.round(value / step))).toBeLessThan(1e-6);
      expect(new Set(values).size).toBeGreaterThan(2);
    }
    // Source: DS18B20 data sheet, temperature/data relationship: a signed count of sixteenths, e.g. 0191h is +25.0625 °C.
    // How obtained: from memory of the table.
    expect(0x0191 * SENSOR_STEP["coolant-inlet"]).toBe(25.0625);
    for (const { value } of valuesOf(reports, "coolant-inlet"))
      expect(Number.isInteger(value * 16)).toBe(true);
  });

  test("reports the whole when a reading is due, and between whiles only what has changed", () => {
    const reports = trace({ cutting: { first_at_s: 3.4, every_s: 100, for_s: 1.3 } }, 10);
    const times = [...new Set(reports.map((each) => each.timeS))];
    expect(times).toEqual([0, 1, 2, 3, 3.4, 4, 4.7, 5, 6, 7, 8, 9, 10]);
    const on = times.map((timeS) => reports.filter((each) => each.timeS === timeS).map((each) => each.point));
    on.forEach((points, i) => {
      expect(points).toEqual([3.4, 4.7].includes(times[i] ?? 0) ? ["laser-on"] : BENCH_POINTS);
    });
    expect(valuesOf(reports, "laser-on").filter((each) => each.value === 1)).toEqual([
      { timeS: 3.4, value: 1 },
      { timeS: 4, value: 1 },
    ]);
  });

  test("keeps to the station's seconds when its own go faster", () => {
    const reports = trace({ every_s: 0.5, time_factor: 20 }, 60);
    expect(valuesOf(reports, "room-temperature").map((each) => each.timeS)).toEqual([
      0, 10, 20, 30, 40, 50, 60,
    ]);
  });

  test("goes over a stretch nobody watched, and then reports the whole", () => {
    const bench = benchOf({ cutting: "never" });
    bench.report();
    bench.skip(3604);
    expect(bench.step).toBe(3604);
    expect(bench.state.timeS).toBeCloseTo(360.4, 9);
    expect(bench.report().map((each) => each.point)).toEqual(BENCH_POINTS);
    expect(bench.state.tankC).not.toBe(benchOf().state.tankC);
    bench.go();
    expect(bench.report()).toEqual([]);
  });
});

describe("a bench on which something goes wrong", () => {
  test("shows a stopped fan as 0 and not running, and running again after", () => {
    const reports = trace(
      {
        cutting: { first_at_s: 0, every_s: 120, for_s: 100 },
        faults: [{ fault: "fan-stops", at_s: 20, for_s: 30 }],
      },
      70,
    );
    expect(at(reports, "extraction-running", 20)).toBe(1);
    expect(at(reports, "extraction-speed", 20)).toBeGreaterThan(2500);
    // The switch opens at a third of the air, ln 3 time constants after the stop: 20 + 4 × 1.0986 = 24.4 s.
    const opened = valuesOf(reports, "extraction-running").find((each) => each.value === 0);
    expect(opened?.timeS).toBeCloseTo(24.4, 1);
    expect(at(reports, "extraction-speed", 45)).toBe(0);
    expect(at(reports, "extraction-airflow", 45)).toBe(0);
    expect(at(reports, "laser-on", 45)).toBe(1);
    expect(at(reports, "extraction-running", 60)).toBe(1);
    expect(at(reports, "extraction-speed", 70)).toBeGreaterThan(2500);
  });

  test("answers for an unplugged probe with the fault in place of a value, and tells a contact's at once", () => {
    const reports = trace(
      {
        faults: [
          { fault: "probe-unplugged", point: "coolant-inlet", at_s: 3, for_s: 4 },
          { fault: "probe-unplugged", point: "coolant-flowing", at_s: 3.5, for_s: 1 },
        ],
      },
      10,
    );
    const faultsOf = (point: BenchPoint) =>
      reports.flatMap((each) => (each.point === point && "fault" in each ? [[each.timeS, each.fault]] : []));
    expect(faultsOf("coolant-inlet")).toEqual([3, 4, 5, 6].map((timeS) => [timeS, "unplugged"]));
    expect(valuesOf(reports, "coolant-inlet").map((each) => each.timeS)).toEqual([0, 1, 2, 7, 8, 9, 10]);
    expect(faultsOf("coolant-flowing")).toEqual([
      [3.5, "unplugged"],
      [4, "unplugged"],
    ]);
    expect(valuesOf(reports, "coolant-flowing").map((each) => each.timeS)).toContain(4.5);
  });

  test("leaves out a silent sensor, and nothing else changes", () => {
    for (const point of BENCH_POINTS) {
      const reports = trace({ seed: 3, faults: [{ fault: "sensor-silent", point, at_s: 2, for_s: 60 }] }, 70);
      const whole = trace({ seed: 3 }, 70);
      expect(reports.some((each) => each.point === point && each.timeS >= 2 && each.timeS < 62)).toBe(false);
      expect(reports.filter((each) => each.point !== point)).toEqual(
        whole.filter((each) => each.point !== point),
      );
      expect(at(reports, point, 70)).toBe(at(whole, point, 70));
    }
  });

  test("loses its flow with the pump, and its tube warms while the laser is on", () => {
    const reports = trace(
      {
        cutting: { first_at_s: 0, every_s: 100, for_s: 100 },
        faults: [{ fault: "pump-stops", at_s: 10, for_s: 30 }],
      },
      60,
    );
    expect(at(reports, "coolant-flow", 39)).toBe(0);
    expect(at(reports, "coolant-flowing", 39)).toBe(0);
    // 400 W into 0.6 kg of water that stands still: 0.159 K/s.
    const rate = (at(reports, "coolant-outlet", 35) - at(reports, "coolant-outlet", 20)) / 15;
    expect(Math.abs(rate / (400 / (0.6 * 4186)) - 1)).toBeLessThan(0.1);
    expect(at(reports, "coolant-flowing", 60)).toBe(1);
    expect(at(reports, "coolant-outlet", 60)).toBeLessThan(25);
  });

  test("shows the demo's story to the seeds people try first: out of range in a cut, and back", () => {
    for (const seed of [0, 1, 2, 3]) {
      const reports = trace({ ...DEMO_SOURCE, seed }, 1200);
      const hot = valuesOf(reports, "coolant-inlet").filter((each) => each.value > DEMO_COOLANT_RANGE.high);
      const cutHot = hot.filter((each) => at(reports, "laser-on", each.timeS) === 1);
      expect(cutHot.length).toBeGreaterThan(10);
      expect(Math.max(...hot.map((each) => each.value))).toBeLessThan(26);
      expect(at(reports, "coolant-inlet", 1200)).toBeLessThan(20);
      expect(at(reports, "extraction-running", 380)).toBe(0);
      expect(at(reports, "extraction-running", 420)).toBe(1);
      expect(reports.some((each) => each.point === "coolant-inlet" && "fault" in each)).toBe(true);
    }
  });

  test("has a tachometer that cannot tell a creeping fan from one that stands", () => {
    const { state } = benchOf();
    const contacts = { laserOn: false, lidOpen: false };
    const rpm = (fanRpm: number) => sense("extraction-speed", { ...state, fanRpm }, contacts, () => 0);
    // Steps of 30 1/min: two pulses a revolution, counted over a second, by rpm = 60 f / pulses per revolution (4-wire PWM fan
    // specification, from memory; 33.33 Hz is 1000 1/min).
    expect([0, 50, 70, 1000, 2600].map(rpm)).toEqual([0, 0, 60, 990, 2610]);
  });

  test("has contacts that are 1 or 0 and nothing else", () => {
    for (const each of trace(DEMO_SOURCE, 900)) {
      if (isState(each.point) && "value" in each) expect([0, 1]).toContain(each.value);
    }
  });
});
