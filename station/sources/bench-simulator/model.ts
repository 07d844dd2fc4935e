import { normal, type Random } from "../../random.js";
import { BENCH_PLANT, type Plant } from "./plant.js";

/** Specific heat of water, J/(kg K), near 18 °C; a litre is taken as a kilogram. Textbook value, from memory. */
export const WATER_J_KG_K = 4186;
const DAY_S = 86_400;
/** Longest step of the explicit integration, s: well below the tube's time constant of some 12 s. */
const LONGEST_STEP_S = 1;
const LONGEST_ADVANCE_S = 3600;
/** The drifts are cut off here, in standard deviations, so that a long demo never shows the unlikely. */
const DRIFT_LIMIT = 3;
const BOILING_C = 100;
/** Below this a fan is taken to stand still, 1/min; an exponential alone would never reach 0. */
const FAN_STANDS_RPM = 1;

export interface Ambient {
  /** Mean over the day, °C and % RH. */
  readonly temperatureC: number;
  readonly humidityPct: number;
}

/** What acts on the bench during a step. */
export interface BenchInputs {
  readonly laserOn: boolean;
  /** Fan and pump have their supply. */
  readonly fanPowered: boolean;
  readonly pumpPowered: boolean;
  /** Compressor off and frost heater on, whatever the thermostat says. */
  readonly chillerRunsAway: boolean;
  /** A damper is shut; left out for an open one. */
  readonly ductBlocked?: boolean;
}

export interface BenchState {
  /** Simulated seconds since the start. */
  readonly timeS: number;
  /** Water in the tank, which is what flows into the tube, and water leaving the tube, °C. */
  readonly tankC: number;
  readonly tubeC: number;
  readonly flowLMin: number;
  readonly flowSwitch: boolean;
  /** What the thermostat asks for, and for how long it has asked, s. */
  readonly chillerOn: boolean;
  readonly chillerHeldS: number;
  readonly roomC: number;
  /** Standardised drifts: mean 0, standard deviation 1. */
  readonly roomDrift: number;
  readonly moistureDrift: number;
  /** Water vapour in the room's air, hPa, and the relative humidity it makes, %. */
  readonly vapourHPa: number;
  readonly humidityPct: number;
  readonly fanRpm: number;
  readonly airMs: number;
  readonly airSwitch: boolean;
  /** Share of the air that the filter holds back, 0 to 1. */
  readonly filterLoading: number;
}

/** Heat into the water, W; what leaves it is negative. */
export interface HeatFlows {
  readonly laser: number;
  readonly pump: number;
  readonly frostHeater: number;
  readonly chiller: number;
  readonly roomToTank: number;
  readonly roomToTube: number;
  /** From tank to tube; adds nothing to the whole. */
  readonly tankToTube: number;
}

/** A bench at rest in its room: coolant in the middle of the chiller's band, pump running, fan as `inputs` have it. */
export function benchAtStart(ambient: Ambient, inputs: BenchInputs, plant: Plant = BENCH_PLANT): BenchState {
  const fanRpm = inputs.fanPowered ? plant.fanRpm : 0;
  const flowLMin = inputs.pumpPowered ? plant.flowLMin : 0;
  const middle = (plant.chillerOnC + plant.chillerOffC) / 2;
  const vapourHPa = (ambient.humidityPct / 100) * saturationHPa(ambient.temperatureC);
  return {
    timeS: 0,
    tankC: middle,
    tubeC: middle,
    flowLMin,
    flowSwitch: flowLMin > 0,
    chillerOn: false,
    chillerHeldS: plant.chillerMinOffS,
    roomC: ambient.temperatureC,
    roomDrift: 0,
    moistureDrift: 0,
    vapourHPa,
    humidityPct: ambient.humidityPct,
    fanRpm,
    airMs: (plant.airMs * fanRpm) / plant.fanRpm,
    airSwitch: fanRpm > 0,
    filterLoading: 0,
  };
}

/**
 * The bench `dtSeconds` later, with `inputs` held over the whole step. A lumped model: one temperature for the tank and
 * one for the tube. Steps above 1 s are taken in pieces.
 * @param dtSeconds 0 to 3600
 * @throws RangeError for another step
 */
export function advance(
  state: BenchState,
  dtSeconds: number,
  random: Random,
  inputs: BenchInputs,
  ambient: Ambient,
  plant: Plant = BENCH_PLANT,
): BenchState {
  if (!(dtSeconds >= 0 && dtSeconds <= LONGEST_ADVANCE_S)) {
    throw new RangeError(`a step of ${dtSeconds} s is not between 0 and ${LONGEST_ADVANCE_S} s`);
  }
  const pieces = Math.ceil(dtSeconds / LONGEST_STEP_S);
  let now = state;
  for (let piece = 0; piece < pieces; piece += 1) {
    const dt = dtSeconds / pieces;
    now = {
      timeS: state.timeS + dt * (piece + 1),
      ...waterAfter(now, dt, inputs, plant),
      ...airAfter(now, dt, inputs, plant),
      ...roomAfter(now, dt, random, ambient, plant),
    };
  }
  return now;
}

export function heatFlows(state: BenchState, inputs: BenchInputs, plant: Plant = BENCH_PLANT): HeatFlows {
  const carriedWK = (state.flowLMin / 60) * WATER_J_KG_K;
  return {
    laser: inputs.laserOn ? plant.laserW : 0,
    pump: inputs.pumpPowered ? plant.pumpW : 0,
    frostHeater: inputs.chillerRunsAway ? plant.frostHeaterW : 0,
    chiller: state.chillerOn && !inputs.chillerRunsAway ? -plant.chillerW : 0,
    roomToTank: plant.tankRoomWK * (state.roomC - state.tankC),
    roomToTube: plant.tubeRoomWK * (state.roomC - state.tubeC),
    tankToTube: (carriedWK + plant.standingWK) * (state.tankC - state.tubeC),
  };
}

/**
 * Saturation vapour pressure over water, hPa: the Magnus form of WMO-No. 8 (Guide to Instruments and Methods of
 * Observation), annex 4.B, without the enhancement factor. For −45 to 60 °C.
 */
export function saturationHPa(celsius: number): number {
  return 6.112 * Math.exp((17.62 * celsius) / (243.12 + celsius));
}

function waterAfter(state: BenchState, dt: number, inputs: BenchInputs, plant: Plant) {
  const heat = heatFlows(state, inputs, plant);
  const intoTank = heat.pump + heat.frostHeater + heat.chiller + heat.roomToTank - heat.tankToTube;
  const intoTube = heat.laser + heat.roomToTube + heat.tankToTube;
  // At the boiling point the surplus leaves as steam, which the model lets go.
  const tankC = Math.min(BOILING_C, state.tankC + (intoTank * dt) / (plant.tankL * WATER_J_KG_K));
  const tubeC = Math.min(BOILING_C, state.tubeC + (intoTube * dt) / (plant.tubeL * WATER_J_KG_K));
  const flowLMin = lag(state.flowLMin, inputs.pumpPowered ? plant.flowLMin : 0, dt, plant.flowLagS);
  return {
    tankC,
    tubeC,
    flowLMin,
    flowSwitch: flowLMin > (state.flowSwitch ? plant.flowOpensLMin : plant.flowClosesLMin),
    ...thermostat(state, tankC, dt, plant),
  };
}

/** Compressors are spared: each start and each stop is held for a minimum time. */
function thermostat(state: BenchState, tankC: number, dt: number, plant: Plant) {
  const heldS = state.chillerHeldS + dt;
  const wanted = state.chillerOn ? tankC > plant.chillerOffC : tankC >= plant.chillerOnC;
  const mayChange = heldS >= (state.chillerOn ? plant.chillerMinOnS : plant.chillerMinOffS);
  if (wanted === state.chillerOn || !mayChange) return { chillerOn: state.chillerOn, chillerHeldS: heldS };
  return { chillerOn: wanted, chillerHeldS: 0 };
}

function airAfter(state: BenchState, dt: number, inputs: BenchInputs, plant: Plant) {
  const target = inputs.fanPowered ? plant.fanRpm : 0;
  const turning = lag(state.fanRpm, target, dt, target > state.fanRpm ? plant.fanUpS : plant.fanDownS);
  const fanRpm = target === 0 && turning < FAN_STANDS_RPM ? 0 : turning;
  // Smoke is made while the laser is on, and reaches the filter in proportion to the air that carries it.
  const smokeHours = inputs.laserOn ? (dt / 3600) * (fanRpm / plant.fanRpm) : 0;
  const filterLoading = Math.min(plant.filterMost, state.filterLoading + smokeHours / plant.filterHours);
  const airMs =
    inputs.ductBlocked === true ? 0 : ((plant.airMs * fanRpm) / plant.fanRpm) * (1 - filterLoading);
  return {
    fanRpm,
    filterLoading,
    airMs,
    airSwitch: airMs > (state.airSwitch ? plant.airOpensMs : plant.airClosesMs),
  };
}

/**
 * The room warms and cools over the day and drifts about it; its moisture stays nearly the same, so that the relative
 * humidity falls as the room warms. What the machine itself does to the room is left out.
 */
function roomAfter(state: BenchState, dt: number, random: Random, ambient: Ambient, plant: Plant) {
  const roomDrift = drift(state.roomDrift, dt, plant.roomDriftS, random);
  const moistureDrift = drift(state.moistureDrift, dt, plant.moistureDriftS, random);
  const day = Math.sin((2 * Math.PI * (state.timeS + dt)) / DAY_S);
  const roomC = ambient.temperatureC + plant.roomSwingK * day + plant.roomDriftK * roomDrift;
  const meanHPa = (ambient.humidityPct / 100) * saturationHPa(ambient.temperatureC);
  const saturated = saturationHPa(roomC);
  // What is more than the air can hold settles as dew.
  const vapourHPa = Math.min(saturated, meanHPa * (1 + plant.moistureDrift * moistureDrift));
  return { roomDrift, moistureDrift, roomC, vapourHPa, humidityPct: (100 * vapourHPa) / saturated };
}

/** An Ornstein-Uhlenbeck process of unit variance, stepped exactly. */
function drift(value: number, dt: number, memoryS: number, random: Random): number {
  const kept = Math.exp(-dt / memoryS);
  const next = value * kept + Math.sqrt(1 - kept * kept) * normal(random);
  return Math.max(-DRIFT_LIMIT, Math.min(DRIFT_LIMIT, next));
}

/** First-order lag, stepped exactly. */
function lag(value: number, target: number, dt: number, timeConstantS: number): number {
  return target + (value - target) * Math.exp(-dt / timeConstantS);
}
