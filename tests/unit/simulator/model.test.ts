import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { createRandom } from "../../../station/random.js";
import {
  advance,
  type BenchInputs,
  type BenchState,
  benchAtStart,
  heatFlows,
  saturationHPa,
  WATER_J_KG_K,
} from "../../../station/sources/bench-simulator/model.js";
import { BENCH_PLANT, type Plant } from "../../../station/sources/bench-simulator/plant.js";

const AMBIENT = { temperatureC: 20.5, humidityPct: 45 };
const IDLE: BenchInputs = { laserOn: false, fanPowered: false, pumpPowered: true, chillerRunsAway: false };
const CUTTING: BenchInputs = { ...IDLE, laserOn: true, fanPowered: true };
/** No exchange with the room and a chiller that never starts. */
const CLOSED: Plant = { ...BENCH_PLANT, tankRoomWK: 0, tubeRoomWK: 0, chillerOnC: 1000, chillerOffC: 999 };

function* run(
  from: BenchState,
  seconds: number,
  inputs: BenchInputs,
  plant = BENCH_PLANT,
  dt = 0.1,
  seed = 1,
) {
  const random = createRandom(seed);
  let state = from;
  for (let step = 0; step < Math.round(seconds / dt); step += 1) {
    const before = state;
    state = advance(state, dt, random, inputs, AMBIENT, plant);
    yield { before, state };
  }
}

function later(from: BenchState, seconds: number, inputs: BenchInputs, plant = BENCH_PLANT): BenchState {
  let last = from;
  for (const { state } of run(from, seconds, inputs, plant)) last = state;
  return last;
}

/** At 18 °C, which the thermostat of a closed loop would not choose. */
const closedStart = { ...benchAtStart(AMBIENT, CUTTING, CLOSED), tankC: 18, tubeC: 18 };

const heatHeld = (state: BenchState, plant: Plant) =>
  WATER_J_KG_K * (plant.tankL * state.tankC + plant.tubeL * state.tubeC);

describe("the heat of the water loop", () => {
  test("balances: heat in less heat out is mass times specific heat times rise, through cuts and chiller cycles", () => {
    const start = benchAtStart(AMBIENT, IDLE);
    let state = start;
    let takenIn = 0;
    let chillerRan = false;
    for (let block = 0; block < 10; block += 1) {
      for (const step of run(state, 120, block % 2 === 0 ? CUTTING : IDLE, BENCH_PLANT, 0.1, block)) {
        const { laser, pump, frostHeater, chiller, roomToTank, roomToTube } = heatFlows(
          step.before,
          block % 2 === 0 ? CUTTING : IDLE,
        );
        takenIn += (laser + pump + frostHeater + chiller + roomToTank + roomToTube) * 0.1;
        chillerRan ||= step.state.chillerOn;
        state = step.state;
      }
    }
    expect(chillerRan).toBe(true);
    // Some 290 kJ go through; what is left over is rounding.
    expect(heatHeld(state, BENCH_PLANT) - heatHeld(start, BENCH_PLANT)).toBeCloseTo(takenIn, 3);
  });

  test("with nothing to cool it, rises by power times time over heat capacity", () => {
    // Closed form, from the first law alone: 425 W for 300 s into 8.6 kg of water is 3.54 K.
    const end = later(closedStart, 300, CUTTING, CLOSED);
    const mean = (heatHeld(end, CLOSED) - heatHeld(closedStart, CLOSED)) / (WATER_J_KG_K * 8.6);
    expect(mean).toBeCloseTo((425 * 300) / (8.6 * 4186), 6);
  });

  test("left alone, goes towards the room exponentially", () => {
    // Closed form of Newton's cooling law; tank and tube share one temperature because the exchange is all in the tank.
    const plant = { ...CLOSED, tankRoomWK: 7, pumpW: 0, roomSwingK: 0, roomDriftK: 0, tubeL: 0.001 };
    const start = { ...benchAtStart(AMBIENT, { ...IDLE, pumpPowered: false }, plant), tankC: 40, tubeC: 40 };
    const end = later(start, 1800, { ...IDLE, pumpPowered: false }, { ...plant, standingWK: 1 });
    const expected = 20.5 + 19.5 * Math.exp(-1800 / ((8.001 * 4186) / 7));
    expect(end.tankC).toBeCloseTo(expected, 2);
  });

  test("shows as outlet above inlet by power over mass flow and specific heat", () => {
    // 400 W into 0.05 kg/s of water: 1.911 K, less the tube's lag behind a tank that warms.
    const end = later(closedStart, 120, CUTTING, CLOSED);
    const rise = end.tubeC - end.tankC;
    const warming = 425 / (8.6 * 4186);
    const carried = 0.05 * 4186 + BENCH_PLANT.standingWK;
    expect(rise).toBeCloseTo((400 - 0.6 * 4186 * warming) / carried, 3);
  });

  test("does not go past boiling where the pump stands and the laser stays on", () => {
    const end = later(benchAtStart(AMBIENT, CUTTING), 1800, { ...CUTTING, pumpPowered: false });
    expect(end.flowSwitch).toBe(false);
    expect(end.flowLMin).toBeCloseTo(0, 9);
    expect(end.tubeC).toBe(100);
    expect(end.tankC).toBeLessThan(25);
  });

  test("comes out alike in long steps and short ones", () => {
    const long = advance(closedStart, 600, createRandom(1), CUTTING, AMBIENT, CLOSED);
    expect(long.tankC).toBeCloseTo(later(closedStart, 600, CUTTING, CLOSED).tankC, 2);
    expect(long.tankC).toBeGreaterThan(24);
    expect(long.timeS).toBe(600);
  });
});

describe("the chiller", () => {
  test("keeps the inlet in its band at idle, cycling", () => {
    let starts = 0;
    let [coldest, warmest] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
    for (const { before, state } of run(benchAtStart(AMBIENT, IDLE), 7200, IDLE)) {
      coldest = Math.min(coldest, state.tankC);
      warmest = Math.max(warmest, state.tankC);
      if (state.chillerOn && !before.chillerOn) starts += 1;
    }
    expect(coldest).toBeGreaterThan(BENCH_PLANT.chillerOffC - 0.01);
    expect(coldest).toBeLessThan(BENCH_PLANT.chillerOffC + 0.01);
    expect(warmest).toBeGreaterThan(BENCH_PLANT.chillerOnC - 0.01);
    expect(warmest).toBeLessThan(BENCH_PLANT.chillerOnC + 0.01);
    expect(starts).toBeGreaterThanOrEqual(3);
  });

  test("holds each start and each stop for its least time", () => {
    // A heavy load on little water asks for short cycles.
    const plant = { ...BENCH_PLANT, tankL: 1, chillerMinOnS: 45, chillerMinOffS: 50 };
    let changes = 0;
    for (const { before, state } of run(benchAtStart(AMBIENT, CUTTING, plant), 1200, CUTTING, plant)) {
      if (state.chillerOn === before.chillerOn) continue;
      changes += 1;
      expect(before.chillerHeldS + 0.1).toBeGreaterThanOrEqual(before.chillerOn ? 45 : 50);
    }
    expect(changes).toBeGreaterThan(5);
  });

  test("that runs away only warms, and cools again once it is well", () => {
    const away = later(benchAtStart(AMBIENT, IDLE), 400, { ...IDLE, chillerRunsAway: true });
    expect(away.tankC).toBeGreaterThan(22);
    expect(later(away, 600, IDLE).tankC).toBeLessThan(19);
  });
});

describe("the extraction", () => {
  test("spins up and runs down with a first-order lag, and stands still in the end", () => {
    const stopped = benchAtStart(AMBIENT, IDLE);
    expect(stopped.fanRpm).toBe(0);
    // One time constant is 1 − 1/e of the way, by definition.
    const up = later(stopped, BENCH_PLANT.fanUpS, { ...IDLE, fanPowered: true });
    expect(up.fanRpm / BENCH_PLANT.fanRpm).toBeCloseTo(1 - Math.exp(-1), 9);
    const full = later(stopped, 60, { ...IDLE, fanPowered: true });
    expect(full.airSwitch).toBe(true);
    const down = later(full, BENCH_PLANT.fanDownS, IDLE);
    expect(down.fanRpm / full.fanRpm).toBeCloseTo(Math.exp(-1), 9);
    const still = later(full, 40, IDLE);
    expect(still.fanRpm).toBe(0);
    expect(still.airMs).toBe(0);
    expect(still.airSwitch).toBe(false);
  });

  test("loses air to the filter while it carries smoke, slowly, and then no more", () => {
    const fresh = benchAtStart(AMBIENT, CUTTING);
    const hour = advance(fresh, 3600, createRandom(1), CUTTING, AMBIENT);
    expect(hour.filterLoading).toBeCloseTo(1 / BENCH_PLANT.filterHours, 9);
    expect(hour.airMs / fresh.airMs).toBeCloseTo(1 - 1 / BENCH_PLANT.filterHours, 9);
    const clogged = advance({ ...hour, filterLoading: 0.4999 }, 3600, createRandom(1), CUTTING, AMBIENT);
    expect(clogged.filterLoading).toBe(BENCH_PLANT.filterMost);
  });
});

describe("the room", () => {
  test("holds water vapour as the ASHRAE equations say, within 0.3 %", () => {
    // Source: ASHRAE Handbook - Fundamentals (2017) ch. 1 eqs 5 and 6, as implemented by psychrolib. How obtained: computed with
    // psychrolib (npm 1.1.1) at 101325 Pa; Pa. The Magnus form is known to lie up to 0.29 % below it in this range.
    const ashrae: readonly [number, number][] = [
      [5, 872.4866542640299],
      [10, 1227.9952754407796],
      [15, 1705.4477944415173],
      [20, 2338.8037000739814],
      [25, 3169.2164701436277],
      [30, 4246.030243592604],
    ];
    for (const [celsius, pascals] of ashrae) {
      expect(Math.abs((saturationHPa(celsius) * 100) / pascals - 1)).toBeLessThan(0.003);
    }
  });

  test("keeps its moisture as it warms, so that the relative humidity falls", () => {
    const plant = { ...BENCH_PLANT, roomDriftK: 0, moistureDrift: 0 };
    let state = benchAtStart(AMBIENT, IDLE, plant);
    const random = createRandom(1);
    for (let hour = 0; hour < 6; hour += 1) state = advance(state, 3600, random, IDLE, AMBIENT, plant);
    // A quarter of the day on, the sine is at its top.
    expect(state.roomC).toBeCloseTo(22, 6);
    expect(state.vapourHPa).toBeCloseTo(benchAtStart(AMBIENT, IDLE).vapourHPa, 9);
    expect(state.humidityPct).toBeCloseTo((45 * saturationHPa(20.5)) / saturationHPa(22), 6);
  });
});

describe("whatever happens", () => {
  const inputs = fc.record({
    laserOn: fc.boolean(),
    fanPowered: fc.boolean(),
    pumpPowered: fc.boolean(),
    chillerRunsAway: fc.boolean(),
  });
  const steps = fc.array(fc.tuple(fc.double({ min: 0, max: 900, noNaN: true }), inputs), { maxLength: 30 });
  const ambient = fc.record({
    temperatureC: fc.double({ min: 5, max: 40, noNaN: true }),
    humidityPct: fc.double({ min: 5, max: 95, noNaN: true }),
  });

  test("every quantity stays finite and within what is physically possible", () => {
    fc.assert(
      fc.property(fc.integer({ min: 0 }), ambient, steps, (seed, room, sequence) => {
        const random = createRandom(seed);
        let state = benchAtStart(room, IDLE);
        for (const [dt, acting] of sequence) {
          state = advance(state, dt, random, acting, room);
          for (const value of Object.values(state)) expect(Number.isFinite(Number(value))).toBe(true);
          for (const celsius of [state.tankC, state.tubeC]) {
            expect(celsius).toBeGreaterThan(0);
            expect(celsius).toBeLessThanOrEqual(100);
          }
          expect(Math.abs(state.roomC - room.temperatureC)).toBeLessThan(3);
          expect(state.humidityPct).toBeGreaterThan(0);
          expect(state.humidityPct).toBeLessThanOrEqual(100.000001);
          expect(state.flowLMin).toBeGreaterThanOrEqual(0);
          expect(state.flowLMin).toBeLessThanOrEqual(BENCH_PLANT.flowLMin);
          expect(state.fanRpm).toBeGreaterThanOrEqual(0);
          expect(state.fanRpm).toBeLessThanOrEqual(BENCH_PLANT.fanRpm);
          expect(state.airMs).toBeGreaterThanOrEqual(0);
          expect(state.airMs).toBeLessThanOrEqual(BENCH_PLANT.airMs);
          expect(state.filterLoading).toBeLessThanOrEqual(BENCH_PLANT.filterMost);
        }
      }),
      { numRuns: 60 },
    );
  });

  test("a step that is no span of time is refused", () => {
    const state = benchAtStart(AMBIENT, IDLE);
    for (const dt of [-0.1, Number.NaN, Number.POSITIVE_INFINITY, 3601]) {
      expect(() => advance(state, dt, createRandom(1), IDLE, AMBIENT)).toThrow(RangeError);
    }
    expect(advance(state, 0, createRandom(1), IDLE, AMBIENT)).toEqual(state);
  });
});
