import { BIN_S, type CoolantBin } from "../../station/conditions/coolant-bins.js";
import type { CoolantRange } from "../../station/conditions/coolant-trend.js";
import { createRandom } from "../../station/random.js";
import type { Cutting, ScriptedFault } from "../../station/sources/bench-simulator/entry.js";
import { advance, benchAtStart } from "../../station/sources/bench-simulator/model.js";
import { BENCH_PLANT, type Plant } from "../../station/sources/bench-simulator/plant.js";
import { createScript } from "../../station/sources/bench-simulator/script.js";
import { sense } from "../../station/sources/bench-simulator/sensing.js";

/** One simulated bench as its probe and its laser-on input see it. */
export interface WatchedBench {
  readonly bins: readonly CoolantBin[];
  readonly range: CoolantRange;
  /** Without a compressor: the tank loses its heat to the room alone. */
  readonly passive: boolean;
}

const HOURS = 6;
const DRAWN = 77;

/**
 * A bench drawn by lot: volume of the loop, heat of the laser, chiller and its hysteresis, or none at all, the room, the jobs, and
 * in a third of them a coolant that runs away for some minutes. The range is set as an owner would: around what is usual.
 */
export function drawBench(seed: number): WatchedBench {
  const random = createRandom(seed, DRAWN);
  const between = (low: number, high: number) => low + (high - low) * random();
  const passive = random() < 0.3;
  const plant = drawPlant(between, passive);
  const ambient = { temperatureC: passive ? between(12, 22) : between(12, 32), humidityPct: 50 };
  const cutting = random() < 0.4 ? ("demo" as const) : drawJobs(between);
  const faults: ScriptedFault[] =
    random() < 0.35
      ? [{ fault: "coolant-runs-away", at_s: between(1800, HOURS * 3000), for_s: between(240, 1500) }]
      : [];
  const script = createScript({ seed, cutting, faults });
  const [model, sensing] = [createRandom(seed, 0), createRandom(seed, 1)];
  let state = benchAtStart(ambient, script.at(0), plant);
  if (passive) state = { ...state, tankC: ambient.temperatureC, tubeC: ambient.temperatureC };
  const bins: { value: number; duty: number }[] = [];
  for (let at = 0; at < HOURS * 3600; at += BIN_S) {
    const bin = { value: 0, duty: 0 };
    for (let second = 0; second < BIN_S; second += 1) {
      const moment = script.at(at + second);
      state = advance(state, 1, model, moment, ambient, plant);
      bin.value += sense("coolant-inlet", state, moment, sensing) / BIN_S;
      bin.duty += Number(moment.laserOn) / BIN_S;
    }
    bins.push(bin);
  }
  const sorted = bins.map(({ value }) => value).sort((a, b) => a - b);
  const usual = (share: number) => sorted[Math.floor(share * (sorted.length - 1))] ?? 0;
  return {
    bins,
    passive,
    range: { low: usual(0.02) - between(0.3, 3), high: usual(0.85) + between(0.2, 2.5) },
  };
}

type Between = (low: number, high: number) => number;

function drawPlant(between: Between, passive: boolean): Plant {
  const chillerOnC = between(16, 22);
  return {
    ...BENCH_PLANT,
    chillerOnC,
    chillerOffC: chillerOnC - between(0.3, 2),
    tankL: between(4, 25),
    tubeL: between(0.3, 1),
    laserW: between(250, 800),
    pumpW: between(10, 40),
    chillerW: passive ? 0 : between(500, 1400),
    tankRoomWK: passive ? between(15, 60) : between(3, 12),
    frostHeaterW: between(0, 500),
    roomSwingK: between(0.5, 3),
    roomDriftS: between(1800, 7200),
  };
}

function drawJobs(between: Between): Exclude<Cutting, string> {
  const every_s = between(120, 3600);
  return { first_at_s: between(0, 600), every_s, for_s: every_s * between(0.2, 0.95) };
}
