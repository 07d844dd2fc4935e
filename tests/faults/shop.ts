import { setImmediate as nextTurn } from "node:timers/promises";
import { smoulders } from "../../safety/smoulder.js";
import { createAlarmDesk } from "../../station/alarms/desk.js";
import { defineAlarms } from "../../station/alarms/entry.js";
import { createAfterCutDesk } from "../../station/cautions/after-cut-desk.js";
import { createChannelBoard } from "../../station/channels/board.js";
import { createDeriver } from "../../station/conditions/deriver.js";
import { condensationMargin } from "../../station/conditions/humid-air.js";
import { createOutlook } from "../../station/conditions/outlook.js";
import { leastMargin } from "../../station/conditions/readiness.js";
import { demoConfig } from "../../station/config.js";
import type { AlarmTransition } from "../../station/model/alarm.js";
import type { Clock, Instant } from "../../station/model/instant.js";
import type { RawReading, Reading } from "../../station/model/reading.js";
import { createRandom } from "../../station/random.js";
import { createSituation } from "../../station/situation.js";
import { DEMO_SOURCE } from "../../station/sources/bench-simulator/channels.js";
import {
  type Ambient,
  advance,
  type BenchState,
  benchAtStart,
} from "../../station/sources/bench-simulator/model.js";
import { BENCH_POINTS, type BenchPoint, unitOf } from "../../station/sources/bench-simulator/points.js";
import { sense } from "../../station/sources/bench-simulator/sensing.js";
import { createRunDesk } from "../../station/trials/run-desk.js";
import { disk } from "../unit/alarms/given.js";
import { FAN_AFTER_S, FAN_BEFORE_S, type Job, type ShopFault } from "./shop-plan.js";

/** An alarm that was raised, with seconds from the start. */
export interface Raised {
  readonly alarm: string;
  readonly kind: AlarmTransition["kind"];
  readonly atS: number;
  readonly detail: string;
}

/** What was true of the bench: when the water and the margin had been beyond their limits for the alarm's on-delay, seconds from the start. */
export interface Truth {
  readonly tooWarm: readonly number[];
  readonly tooDamp: readonly number[];
}

export interface ShopResult {
  readonly raised: readonly Raised[];
  readonly truth: Truth;
}

const STARTED_WALL = Date.UTC(2026, 2, 2);
/** All that is no part of the bench is well. */
const WELL = {
  opticsHours: () => 1,
  delivered: async () => undefined,
  journal: () => ({ writing: true, held: false, slow: false, text: "" }),
  soundness: () => ({ state: "sound", lookedWall: 0, text: "", doubt: null }) as const,
  disk,
  backups: () => ({ looked: true, lastGoodWall: STARTED_WALL, trouble: null }),
  clockState: () => "synchronised" as const,
};
const DRY: Ambient = { temperatureC: 20.5, humidityPct: 45 };
/** A dew point of 17.8 °C, beside water at 18. */
const HUMID: Ambient = { temperatureC: 22.5, humidityPct: 75 };
/** The air of the room comes and goes so fast, s. */
const HUMID_LAG_S = 2400;
/** One reading in so many of the analogue sensors fails its checksum, as on a long wire. */
const NOISE_ONE_IN = 300;
/** Out of its turn, as a contact does that bounces while a wire shakes: so long each way, s. */
const CHATTER_S = 7;
/** A person comes and acknowledges so long after an alarm was raised, s. */
const ACKNOWLEDGED_AFTER_S = 90;
const BREATH_S = 60;

/**
 * A shop over days, second by second, on the way that readings take in a station: judged, derived from, stamped, watched by the alarms;
 * these look once a second, where a station looks after every reading as well. The bench is the simulated one, with plumbing of its own
 * for what goes wrong; the disk and the pages are left out.
 */
export async function runShop(
  { fromS, toS }: { readonly fromS: number; readonly toS: number },
  jobs: readonly Job[],
  faults: readonly ShopFault[],
  seed: number,
): Promise<ShopResult> {
  const config = demoConfig();
  const { channels, coolant_range: coolantRange } = config;
  const definitions = defineAlarms(config.alarms, { channels, coolantRange, backups: false });
  const limitOf = (kind: AlarmTransition["kind"]) => {
    const found = definitions.find((each) => each.kind === kind);
    if (found?.setpoint == null) throw new Error(`there is no ${kind} with a setpoint`);
    return { setpointC: found.setpoint, onDelayS: found.onDelayS };
  };
  const desk = createAlarmDesk(definitions, { startId: "shop" });
  const [high, least] = [limitOf("coolant-high"), limitOf("condensation-risk")];

  let second = fromS;
  const instant = (atS: number): Instant => ({ wall: STARTED_WALL + atS * 1000, mono: atS * 1000 });
  const clock: Clock = { now: () => instant(second), bootId: "shop", state: () => "synchronised" };
  const board = createChannelBoard(channels);
  const deriver = createDeriver({ definitions: channels, coolantRange });
  const runs = createRunDesk({
    ...{ clock, simulated: true, lastNumber: 0, jobSheet: null },
    rules: { definitions: channels, coolantRange, minGoodShare: config.runs.min_good_share },
    joinGapMs: config.runs.join_gap_s * 1000,
    store: { runBegun: async (run) => run, runEnded: async () => undefined },
    opticsHours: () => 1,
    delivered: async () => undefined,
    failed: (error) => {
      throw error;
    },
  });
  const outlook = createOutlook({
    ...{ definitions: channels, coolantRange },
    leastMarginC: () => leastMargin(definitions),
  });
  // Nobody names the stock here, so that no fire watch is kept.
  const afterCut = createAfterCutDesk({
    clock,
    smoulders,
    rules: { runOnS: config.after_cut.run_on_s, lengthMin: 30, lookEveryMin: 10 },
    keep: async () => undefined,
    looked: () => undefined,
    changed: () => undefined,
  });
  const situation = createSituation({
    ...{ outlook, afterCut, filter: () => null },
    ...{ definitions: channels, coolantRange, alarmDefinitions: () => definitions, leastFlow: null },
    ...{ latest: board.latest, deriver, runs, standing: desk.standing, suppressed: desk.suppressed, ...WELL },
  });

  const raised: Raised[] = [];
  const pass = (readings: readonly Reading[]) => {
    for (const reading of readings) {
      const derived = deriver.take(reading);
      outlook.take(reading, derived);
      runs.take(reading, derived, deriver.extraction().state);
    }
  };
  const watch = (now: Instant) => {
    for (const { transition, alarm, kind, mono, detail } of desk.update(situation.picture(now))) {
      if (transition === "raised") raised.push({ alarm, kind, atS: mono / 1000, detail });
    }
  };

  const modelRandom = createRandom(seed, 3);
  const sensorRandom = createRandom(seed, 4);
  const noise = createRandom(seed, 5);
  const standing = (fault: ShopFault["fault"], atS: number) =>
    faults.some((each) => each.fault === fault && atS >= each.fromS && atS < each.toS);
  let ambient = DRY;
  let bench: BenchState = benchAtStart(ambient, inputsAt(fromS, jobs, standing));
  const warm = watchTruth(high.onDelayS);
  const damp = watchTruth(least.onDelayS);

  const give = (point: BenchPoint, atS: number, value: number) => {
    const at = instant(atS);
    const raw: RawReading = { source: DEMO_SOURCE.id, point, at, value, unit: unitOf(point) };
    const garbled = unitOf(point) !== "state" && noise() * NOISE_ONE_IN < 1;
    pass(board.take(garbled ? { source: raw.source, point, at, fault: "crc-failed" } : raw));
  };

  pass(board.begin(instant(fromS)));
  for (second = fromS; second < toS; second += 1) {
    const inputs = inputsAt(second, jobs, standing);
    const seen = plumbed(bench, standing("fan-slips", second));
    const contacts = { laserOn: inputs.laserOn, lidOpen: false };
    for (const point of BENCH_POINTS) {
      const value = sense(point, seen, contacts, sensorRandom);
      if (point === "coolant-inlet" && standing("probe-off", second)) {
        pass(board.take({ source: DEMO_SOURCE.id, point, at: instant(second), fault: "unplugged" }));
      } else if (point === "room-humidity" && standing("sensor-silent", second)) {
        // Says nothing.
      } else if (point === "coolant-flowing" && standing("contact-chatters", second)) {
        give(point, second, Math.floor(second / CHATTER_S) % 2);
      } else give(point, second, value);
    }
    pass(board.tick(instant(second)));
    runs.tick(instant(second));
    watch(instant(second));
    // A person looks at the screen, and presses.
    for (const { alarm, state, raisedWall } of desk.standing()) {
      const sinceS = second - (raisedWall - STARTED_WALL) / 1000;
      if (sinceS <= ACKNOWLEDGED_AFTER_S || state === "acknowledged") continue;
      if (state === "latched-acknowledged")
        desk.reset({ alarm, by: "shop", now: instant(second), run: null });
      else desk.acknowledge(alarm, "shop", instant(second), null);
    }
    warm.see(second, bench.tankC > high.setpointC, bench.tankC < high.setpointC - 0.5);
    const margin = condensationMargin(bench.tankC, bench.roomC, bench.humidityPct);
    damp.see(second, margin < least.setpointC, margin > least.setpointC + 1);
    ambient = toward(ambient, standing("humid", second) ? HUMID : DRY);
    bench = advance(bench, 1, modelRandom, inputs, ambient);
    // What waits for a promise in a station has its turn here too: a run that has ended is stamped for good only then.
    if (second % BREATH_S === 0) await nextTurn();
  }
  return { raised, truth: { tooWarm: warm.times, tooDamp: damp.times } };
}

function inputsAt(
  atS: number,
  jobs: readonly Job[],
  standing: (fault: ShopFault["fault"], atS: number) => boolean,
) {
  const job = jobs.find(({ fromS, toS }) => atS >= fromS - FAN_BEFORE_S && atS < toS + FAN_AFTER_S);
  return {
    laserOn: job !== undefined && atS >= job.fromS && atS < job.toS,
    fanPowered: job !== undefined && !standing("fan-stops", atS),
    pumpPowered: !standing("pump-stops", atS),
    chillerRunsAway: standing("coolant-runs-away", atS),
  };
}

/** A belt that slips, or a duct that is shut: the fan turns and no air moves. */
function plumbed(bench: BenchState, slips: boolean): BenchState {
  return slips ? { ...bench, airMs: 0, airSwitch: false } : bench;
}

function toward(now: Ambient, target: Ambient): Ambient {
  const share = 1 - Math.exp(-1 / HUMID_LAG_S);
  return {
    temperatureC: now.temperatureC + share * (target.temperatureC - now.temperatureC),
    humidityPct: now.humidityPct + share * (target.humidityPct - now.humidityPct),
  };
}

/** Takes down when something has been so for `forS` seconds, and not again before it is plainly over. */
function watchTruth(forS: number) {
  const times: number[] = [];
  let since: number | null = null;
  let told = false;
  return {
    times,
    see(atS: number, isSo: boolean, isOver: boolean) {
      since = isSo ? (since ?? atS) : null;
      if (isOver) told = false;
      if (told || since === null || atS - since < forS) return;
      told = true;
      times.push(atS);
    },
  };
}
