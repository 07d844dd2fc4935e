import { createRandom } from "../../random.js";
import type { BenchSimulatorEntry } from "./entry.js";
import { type Ambient, advance, type BenchState, benchAtStart } from "./model.js";
import { BENCH_POINTS, type BenchPoint, isState } from "./points.js";
import { createScript } from "./script.js";
import { sense } from "./sensing.js";

/** The bench goes in steps of a tenth of a simulated second; whatever happens, happens on one. */
export const STEPS_PER_S = 10;
/** Stretches that nobody watches are taken a second at a time. */
const SKIP_STEPS = STEPS_PER_S;

const MODEL_STREAM = 0;
const SENSING_STREAM = 1;

/** What a point says: a value, or that it is not there. */
export type PointReport =
  | { readonly point: BenchPoint; readonly value: number }
  | { readonly point: BenchPoint; readonly fault: "unplugged" };

/** Model, script and sensors put together: a bench that is told when to go on, and knows no clock. */
export interface Bench {
  /** Steps since the start. */
  readonly step: number;
  readonly state: BenchState;
  /**
   * What the sensors report at this step: all of them where a reading is due, and between whiles the contacts that have
   * changed. To be asked once a step.
   */
  report(): readonly PointReport[];
  /** One step on. */
  go(): void;
  /** So many steps on at once, unwatched; what comes next is a full report. */
  skip(steps: number): void;
}

export function createBench(
  entry: Pick<BenchSimulatorEntry, "seed" | "every_s" | "time_factor" | "cutting" | "faults" | "ambient">,
): Bench {
  const ambient: Ambient = {
    temperatureC: entry.ambient.temperature_c,
    humidityPct: entry.ambient.humidity_pct,
  };
  const script = createScript(entry);
  const modelRandom = createRandom(entry.seed, MODEL_STREAM);
  const sensingRandom = createRandom(entry.seed, SENSING_STREAM);
  // Rather a little too often than later than promised; 1e-9 covers the rounding of the product.
  const dueSteps = Math.max(1, Math.floor(entry.every_s * entry.time_factor * STEPS_PER_S + 1e-9));
  /** What each contact said last; nothing said is "silent". */
  const said = new Map<BenchPoint, number | "unplugged" | "silent">();
  let step = 0;
  let fullReport = false;
  let state = benchAtStart(ambient, script.at(0));

  const goOn = (steps: number) => {
    state = advance(state, steps / STEPS_PER_S, modelRandom, script.at(step / STEPS_PER_S), ambient);
    step += steps;
  };

  return {
    get step() {
      return step;
    },
    get state() {
      return state;
    },
    report() {
      const timeS = step / STEPS_PER_S;
      const due = fullReport || step % dueSteps === 0;
      fullReport = false;
      const contacts = script.at(timeS);
      const reports: PointReport[] = [];
      for (const point of BENCH_POINTS) {
        const contact = isState(point);
        if (!due && !contact) continue;
        // Sensed even where the wire carries nothing, so that a fault leaves the noise of the others as it was.
        const value = sense(point, state, contacts, sensingRandom);
        const wire = script.wire(point, timeS);
        const says = wire === "live" ? value : wire;
        const news = due || said.get(point) !== says;
        if (contact) said.set(point, says);
        if (!news || says === "silent") continue;
        reports.push(says === "unplugged" ? { point, fault: says } : { point, value: says });
      }
      return reports;
    },
    go: () => goOn(1),
    skip(steps) {
      for (let left = steps; left > 0; left -= SKIP_STEPS) goOn(Math.min(left, SKIP_STEPS));
      fullReport = true;
    },
  };
}
