import { BINS_A_MINUTE } from "../../station/conditions/coolant-bins.js";
import { createCoolantForecaster, PROMISED } from "../../station/conditions/coolant-forecast.js";
import { LIKELY_STAYS_BELOW } from "../../station/conditions/job-forecast.js";
import { drawBench, type WatchedBench } from "./forecast-benches.js";
import { type BenchResult, quantile } from "./result.js";

/** None of these was looked at while the method was chosen: that was done on 1000 to 1069, 2000 to 2149 and 5000 to 5119. */
const FIRST_SEED = 9000;
const BENCHES = 120;
const AHEAD_MIN = [5, 15] as const;
const EVERY_BINS = 5 * BINS_A_MINUTE;
/** The first 20 minutes are left out: there is nothing yet to go by. */
const FROM_BINS = 20 * BINS_A_MINUTE;
const LINE_BINS = 5 * BINS_A_MINUTE;

interface Scored {
  readonly minutes: number;
  readonly own: number;
  readonly stays: number;
  readonly line: number;
  readonly held: boolean;
  readonly width: number;
  readonly likeness: number;
  readonly passive: boolean;
  /** Null where the coolant was outside its range to begin with. */
  readonly leaving: {
    readonly probability: number;
    readonly byLine: boolean;
    readonly left: boolean;
  } | null;
}

/** Forecasts of the coolant 5 and 15 minutes ahead against what came, beside "stays as it is" and "goes on in a line". */
export async function benchForecast(): Promise<BenchResult[]> {
  const scored = Array.from({ length: BENCHES }, (_, i) => score(drawBench(FIRST_SEED + i))).flat();
  return AHEAD_MIN.flatMap((minutes) => {
    const of = scored.filter((each) => each.minutes === minutes);
    return [
      ...errors(`${minutes} min ahead`, of, 1),
      ...errors(
        `${minutes} min ahead, benches without a chiller`,
        of.filter(({ passive }) => passive),
        1,
      ),
      ...errors(
        `${minutes} min ahead, moments unlike all before`,
        of.filter(({ likeness }) => likeness < 0.5),
        1.05,
      ),
      ...limits(minutes, of),
      ...decisions(minutes, of),
    ];
  });
}

function score({ bins, range, passive }: WatchedBench): Scored[] {
  const forecaster = createCoolantForecaster();
  const values = bins.map(({ value }) => value ?? Number.NaN);
  const outside = (value: number) => value > range.high || value < range.low;
  const found: Scored[] = [];
  bins.forEach((bin, i) => {
    forecaster.push(bin);
    if (i % EVERY_BINS !== 0 || i < FROM_BINS) return;
    for (const minutes of AHEAD_MIN) {
      const ahead = minutes * BINS_A_MINUTE;
      const came = values[i + ahead];
      const own = forecaster.at(minutes);
      const probability = forecaster.leaving(minutes, range);
      const now = values[i];
      if (came === undefined || now === undefined || own === null || probability === null) continue;
      const line = alongLine(values, i, ahead);
      const left = values.slice(i + 1, i + ahead + 1).some(outside);
      found.push({
        ...{ minutes, passive, likeness: own.likeness },
        own: own.value - came,
        stays: now - came,
        line: line - came,
        held: came >= own.low && came <= own.high,
        width: own.high - own.low,
        leaving: outside(now) ? null : { probability, byLine: outside(line), left },
      });
    }
  });
  return found;
}

/** Least squares through the last five minutes. */
function alongLine(values: readonly number[], now: number, ahead: number): number {
  const xs = Array.from({ length: LINE_BINS }, (_, k) => -k);
  const meanX = mean(xs);
  const meanY = mean(xs.map((x) => values[now + x] ?? 0));
  const sxx = xs.reduce((sum, x) => sum + (x - meanX) ** 2, 0);
  const sxy = xs.reduce((sum, x) => sum + (x - meanX) * ((values[now + x] ?? 0) - meanY), 0);
  return meanY + (sxy / sxx) * (ahead - meanX);
}

function errors(name: string, of: readonly Scored[], most: number): BenchResult[] {
  const rms = (pick: (each: Scored) => number) => Math.sqrt(mean(of.map((each) => pick(each) ** 2)));
  const median = (pick: (each: Scored) => number) =>
    quantile(
      of.map((each) => Math.abs(pick(each))),
      0.5,
    );
  const naive = {
    '"stays as it is"': ({ stays }: Scored) => stays,
    '"goes on in a line"': ({ line }: Scored) => line,
  };
  return Object.entries(naive).flatMap(([against, pick]) => [
    {
      name: `root mean square error ${name} (${of.length} forecasts)`,
      ...{ value: rms(({ own }) => own), baseline: rms(pick), against, unit: "°C" },
      bound: { atMost: most },
    },
    {
      name: `median error ${name}`,
      ...{ value: median(({ own }) => own), baseline: median(pick), against, unit: "°C" },
      bound: { atMost: most },
    },
  ]);
}

function limits(minutes: number, of: readonly Scored[]): BenchResult[] {
  const held = 100 * mean(of.map((each) => Number(each.held)));
  const width = mean(of.map((each) => each.width));
  return [
    {
      name: `limits that held what came, ${minutes} min ahead (mean width ${width.toFixed(2)} °C)`,
      ...{ value: held, baseline: 100 * PROMISED, against: "what they promise", unit: "%" },
      bound: { atLeast: 0.95 },
    },
  ];
}

/** Whether it leaves its range in time: how good the probabilities are, and what a warning is worth. */
function decisions(minutes: number, all: readonly Scored[]): BenchResult[] {
  const of = all.flatMap(({ leaving }) => (leaving === null ? [] : [leaving]));
  const left = of.filter((each) => each.left);
  const rate = left.length / of.length;
  const brier = (pick: (each: (typeof of)[number]) => number) =>
    mean(of.map((each) => (pick(each) - Number(each.left)) ** 2));
  const own = brier(({ probability }) => probability);
  const warned = of.filter(({ probability }) => probability >= LIKELY_STAYS_BELOW);
  const byLine = of.filter((each) => each.byLine);
  const precision = (of: readonly { left: boolean }[]) =>
    (100 * of.filter((each) => each.left).length) / of.length;
  const recall = (of: readonly { left: boolean }[]) =>
    (100 * of.filter((each) => each.left).length) / left.length;
  const name = `leaves its range within ${minutes} min (it does ${(100 * rate).toFixed(1)} % of ${of.length} times)`;
  const line = '"goes on in a line"';
  return [
    {
      name: `Brier score, ${name}`,
      ...{ value: own, baseline: rate * (1 - rate), against: "always the same probability", unit: "" },
      bound: { atMost: 1 },
    },
    {
      name: `Brier score, ${name}`,
      ...{ value: own, baseline: rate, against: '"stays as it is"', unit: "" },
      bound: { atMost: 1 },
    },
    {
      name: `Brier score, ${name}`,
      ...{ value: own, baseline: brier((each) => Number(each.byLine)), against: line, unit: "" },
      bound: { atMost: 1 },
    },
    {
      name: `warnings ("may leave" and worse) that came true, ${name}`,
      ...{ value: precision(warned), baseline: precision(byLine), against: line, unit: "%" },
      bound: { atLeast: 1 },
    },
    {
      name: `times it left that were warned of, ${name}`,
      ...{ value: recall(warned), baseline: recall(byLine), against: line, unit: "%" },
      bound: null,
    },
  ];
}

function mean(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0) / values.length;
}
