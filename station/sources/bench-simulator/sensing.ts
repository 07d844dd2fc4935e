import { normal, type Random } from "../../random.js";
import type { BenchState } from "./model.js";
import { BENCH_PLANT } from "./plant.js";
import type { BenchPoint } from "./points.js";

/** The scripted contacts, which the model itself does not hold. */
export interface Contacts {
  readonly laserOn: boolean;
  readonly lidOpen: boolean;
}

/**
 * The smallest step of each analogue sensor, in its unit. The coolant probes count in sixteenths of a degree (DS18B20
 * data sheet, temperature/data relationship). The tachometer counts the pulses of one second, two a revolution (4-wire
 * PWM fan specification), hence 30 1/min. The others are common practice, no source.
 */
export const SENSOR_STEP = {
  "coolant-inlet": 1 / 16,
  "coolant-outlet": 1 / 16,
  "coolant-flow": 0.05,
  "room-temperature": 0.01,
  "room-humidity": 0.01,
  "extraction-airflow": 0.1,
  "extraction-speed": 30,
  "filter-pressure": 1,
} as const satisfies Partial<Record<BenchPoint, number>>;

/** A tachometer cannot tell a fan this slow from one that stands, 1/min. */
const SLOWEST_RPM = 60;

/**
 * What the sensor at a point says of the bench: noise added, limited to what the sensor can say, and rounded to its
 * smallest step. A contact and the filter's gauge have no noise and take nothing from `random`; every other point takes two numbers.
 */
export function sense(point: BenchPoint, bench: BenchState, contacts: Contacts, random: Random): number {
  switch (point) {
    case "coolant-inlet":
      return rounded(limit(bench.tankC + 0.02 * normal(random), -55, 125), 16);
    case "coolant-outlet":
      return rounded(limit(bench.tubeC + 0.02 * normal(random), -55, 125), 16);
    case "coolant-flow":
      return rounded(limit(bench.flowLMin * (1 + 0.01 * normal(random)), 0, 30), 20);
    case "room-temperature":
      return rounded(limit(bench.roomC + 0.02 * normal(random), -40, 125), 100);
    case "room-humidity":
      return rounded(limit(bench.humidityPct + 0.05 * normal(random), 0, 100), 100);
    case "extraction-airflow":
      return rounded(limit(bench.airMs * (1 + 0.02 * normal(random)), 0, 40), 10);
    case "extraction-speed": {
      const rpm = bench.fanRpm * (1 + 0.003 * normal(random));
      return rpm < SLOWEST_RPM ? 0 : Math.round(rpm / 30) * 30;
    }
    case "filter-pressure":
      return Math.round(filterDropPa(bench));
    case "coolant-flowing":
      return Number(bench.flowSwitch);
    case "extraction-running":
      return Number(bench.airSwitch);
    case "laser-on":
      return Number(contacts.laserOn);
    case "lid-open":
      return Number(contacts.lidOpen);
  }
}

/** What the fan gives at full speed, and what of it the duct takes with a new filter, Pa: the filter has the rest. No source. */
const FAN_PA = 600;
const DUCT_PA = 500;

/** Both by the square: of the fan's speed, and of the air's. Where no air moves nothing drops. */
function filterDropPa({ fanRpm, airMs }: BenchState): number {
  if (airMs < 0.5) return 0;
  const drop = FAN_PA * (fanRpm / BENCH_PLANT.fanRpm) ** 2 - DUCT_PA * (airMs / BENCH_PLANT.airMs) ** 2;
  return Math.max(0, drop);
}

/** To the nearest step, given as steps to the unit: dividing once gives the double nearest to the decimal. */
function rounded(value: number, stepsPerUnit: number): number {
  return Math.round(value * stepsPerUnit) / stepsPerUnit;
}

function limit(value: number, low: number, high: number): number {
  return Math.min(high, Math.max(low, value));
}
