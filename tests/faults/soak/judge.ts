import { messageIdOf } from "../../../station/outward/wording.js";
import type { Life } from "./life.js";
import type { KeptNotice, KeptRun, KeptTransition, Verified } from "./look.js";
import type { Trouble } from "./plan.js";
import type { SoakFacts } from "./run.js";
import type { Receipt } from "./servers.js";
import type { Cut, Truth } from "./truth.js";

/** A change of an alarm by the seconds of the soak. */
export interface Change extends Omit<KeptTransition, "bootId" | "mono"> {
  readonly atS: number;
}

interface Expected {
  /** One of these is to be raised. */
  readonly alarms: readonly string[];
  readonly withinS: number;
  /** What else the same trouble rightly raises: their beginnings. */
  readonly also: readonly string[];
}

/**
 * A sensor is asked every 10 or 30 s here, and its alarm waits for three; the board's line comes every 10 s, and the fan runs down within
 * seconds. The disk is looked at once a minute.
 */
const EXPECTED: Readonly<Record<Exclude<Trouble["trouble"], "network">, Expected>> = {
  "probe-off": { alarms: ["sensor-dead:coolant-in"], withinS: 30, also: [] },
  "room-sensor-off": { alarms: ["board-silent:room-sensor"], withinS: 60, also: ["sensor-dead:room"] },
  "board-off": {
    ...{ alarms: ["board-silent:board"], withinS: 45 },
    also: [
      "sensor-dead:fan",
      "sensor-dead:flow",
      "sensor-dead:laser",
      "extraction-",
      "coolant-flow-lost",
      "run-on-cut-short",
    ],
  },
  "fan-stops": { alarms: ["extraction-stopped"], withinS: 30, also: ["run-on-cut-short", "extraction-"] },
  "coolant-runs-away": { alarms: ["coolant-high"], withinS: 30, also: ["coolant-rising"] },
  "disk-full": {
    ...{ alarms: ["readings-held", "journal-not-writing"], withinS: 180 },
    also: ["disk-", "backup-old"],
  },
};
/** After a start the station is given so long to see what is wrong, s. */
const AFTER_START_S = 60;
/** Until all of a trouble is over, s: the water cools, and a person comes by. */
const TAIL_S = 2400;
/** As long as the trend's window: by then it has seen the chiller's cycle, where there is one. */
const CYCLE_SEEN_S = 600;
/** A climb that has ended is told as late as this, s: a reading every 10 s, and the alarm's delay. */
const CLIMB_TOLD_S = 40;

/** Changes that the journal has, by the seconds of the soak. */
export function changesOf(
  kept: readonly KeptTransition[],
  { machine }: Pick<SoakFacts, "machine">,
): Change[] {
  const zeroOf = new Map(machine.boots.map(({ id, zeroS }) => [id, zeroS]));
  return kept.map(({ bootId, mono, ...rest }) => ({
    ...rest,
    atS: mono / 1000 + (zeroOf.get(bootId) ?? Number.NaN),
  }));
}

/** Whether and how long after each trouble its alarm was told, that it was told once and ended, and what was told of nothing. */
export function judgeAlarms(
  changes: readonly Change[],
  {
    plan,
    truth: { tooWarm, climbs },
    endS,
  }: Pick<SoakFacts, "plan" | "endS"> & { readonly truth: Pick<Truth, "tooWarm" | "climbs"> },
  lives: readonly Pick<Life, "fromS" | "toS">[],
): { readonly wrong: string[]; readonly told: number; readonly longestS: number } {
  const wrong: string[] = [];
  const explained = new Set<Change>();
  let told = 0;
  let longestS = 0;
  const stateAt = (alarm: string, atS: number) =>
    changes.findLast((one) => one.alarm === alarm && one.atS <= atS)?.to ?? "normal";
  for (const { trouble, fromS, toS } of plan.troubles) {
    if (trouble === "network") continue;
    const { alarms, withinS, also } = EXPECTED[trouble];
    const around = changes.filter(({ atS }) => atS >= fromS - 1 && atS < toS + TAIL_S);
    for (const one of around) {
      if (alarms.includes(one.alarm) || also.some((begin) => one.alarm.startsWith(begin))) explained.add(one);
    }
    const truths =
      trouble === "coolant-runs-away" ? tooWarm.filter((atS) => atS >= fromS && atS < toS + TAIL_S) : [fromS];
    const raised = around.filter((one) => alarms.includes(one.alarm) && one.transition === "raised");
    const name = `${trouble} at ${fromS} s`;
    for (const trueS of truths) {
      // Where the station was not there, it is to tell once it is.
      const life = lives.find(
        (each) =>
          each.toS > trueS + (each.fromS <= trueS ? withinS : 0) &&
          each.toS - Math.max(each.fromS, trueS) > withinS + AFTER_START_S,
      );
      if (life === undefined) continue;
      const late = life.fromS > trueS;
      const dueS = late ? life.fromS + withinS + AFTER_START_S : trueS + withinS;
      if (trouble !== "coolant-runs-away" && dueS > toS) continue;
      const standing = alarms.some((alarm) => stateAt(alarm, dueS) !== "normal");
      const first = raised.find(({ atS }) => atS >= trueS - withinS && atS <= dueS);
      if (first === undefined && !standing) wrong.push(`${name}: not told by ${dueS} s`);
      else told += 1;
      if (first !== undefined && !late) longestS = Math.max(longestS, first.atS - trueS);
    }
    const mains = new Set(raised.map(({ alarm }) => alarm));
    for (const alarm of mains) {
      const at = raised.filter((one) => one.alarm === alarm).map(({ atS }) => atS.toFixed(0));
      if (at.length > Math.max(1, truths.length))
        wrong.push(`${name}: ${alarm} was raised ${at.length} times (at ${at.join(", ")} s)`);
    }
    const overS = Math.min(endS, toS + TAIL_S);
    for (const alarm of alarms) {
      const up = lives.some((each) => each.fromS < toS + TAIL_S / 2 && each.toS >= overS);
      if (up && stateAt(alarm, overS) !== "normal")
        wrong.push(`${name}: ${alarm} is ${stateAt(alarm, overS)} ${TAIL_S} s after it was over`);
    }
  }
  const begins = [
    ...lives.map(({ fromS }) => fromS),
    ...plan.troubles.filter(({ trouble }) => trouble === "probe-off").map(({ toS }) => toS),
  ];
  /** The water climbs, and whoever has only seen the last minutes of it cannot know that the chiller will turn it. */
  const climbsAsFarAsSeen = ({ alarm, atS }: Change) =>
    alarm === "coolant-rising" &&
    begins.some((beginS) => atS >= beginS && atS < beginS + CYCLE_SEEN_S) &&
    climbs.some((climb) => climb.fromS <= atS && climb.toS >= atS - CLIMB_TOLD_S);
  for (const one of changes)
    if (one.transition === "raised" && !explained.has(one) && !climbsAsFarAsSeen(one))
      wrong.push(`${one.alarm} was raised at ${one.atS.toFixed(0)} s of nothing: ${one.detail}`);
  for (const alarm of new Set(changes.map((one) => one.alarm)))
    if (stateAt(alarm, endS) !== "normal") wrong.push(`${alarm} is ${stateAt(alarm, endS)} at the end`);
  return { wrong, told, longestS };
}

/**
 * Each change is told by each way that wants it, once; what came twice is of a moment in which the station or the way was cut off. By
 * MQTT (QoS 1) it is at least once: a held clock leaps over the answer to a sign of life, and what was under way goes again.
 * @param ways that are set up
 */
export function judgeOutward(
  changes: readonly Change[],
  notices: readonly KeptNotice[],
  receipts: readonly Receipt[],
  cutOffs: readonly number[],
  ways: readonly Receipt["way"][],
): { readonly wrong: string[]; readonly sent: number; readonly again: number } {
  const wrong: string[] = [];
  const byKey = new Map(notices.map((notice) => [notice.key, notice]));
  const arrived = new Map<string, number[]>();
  for (const { way, key, atS } of receipts)
    arrived.set(`${way} ${key}`, [...(arrived.get(`${way} ${key}`) ?? []), atS]);
  let sent = 0;
  let again = 0;
  for (const { id, alarm, priority, transition, to, atS } of changes) {
    const mail = to === "unacknowledged" && ["urgent", "high"].includes(priority);
    for (const way of ways.filter((each) => each !== "mail" || mail)) {
      const name = `${alarm} ${transition} at ${atS.toFixed(0)} s by ${way}`;
      const notice = byKey.get(`${way}:${id}`);
      if (notice?.state !== "sent") {
        wrong.push(`${name}: ${notice === undefined ? "there is no notice of it" : notice.state}`);
        continue;
      }
      const key =
        way === "mail"
          ? messageIdOf(notice.message ?? notice.key, "shop.example")
          : (notice.message ?? notice.key);
      if (!arrived.has(`${way} ${key}`)) wrong.push(`${name}: counts as sent and never arrived`);
      else sent += 1;
    }
  }
  for (const [what, times] of arrived) {
    for (let i = 1; i < times.length; i += 1) {
      const [before, after] = [times[i - 1] as number, times[i] as number];
      if (what.startsWith("mqtt ")) continue;
      again += 1;
      if (!cutOffs.some((atS) => atS >= before - 10 && atS <= after + 10))
        wrong.push(`${what} arrived twice, at ${before} and ${after} s, and nothing was cut off between`);
    }
  }
  return { wrong, sent, again };
}

/** How far a stamp's mean may be from the true water, °C: the probe's step, its noise, and that it is asked every 10 s. */
const STAMP_C = 0.15;
/** A run ends so long after the beam, and may begin a line late, s. */
const EDGE_S = 15;

/** Holds the stamps against the water that was truly there while the beam was on. */
export function judgeRuns(
  runs: readonly KeptRun[],
  cuts: readonly Cut[],
  { machine, plan }: Pick<SoakFacts, "machine" | "plan">,
): { readonly wrong: string[]; readonly matched: number } {
  const wrong: string[] = [];
  const zeroOf = new Map(machine.boots.map(({ id, zeroS }) => [id, zeroS]));
  const placed = runs.map((run) => {
    const zeroS = zeroOf.get(run.bootId) ?? Number.NaN;
    return { ...run, fromS: run.startMono / 1000 + zeroS, toS: run.endMono / 1000 + zeroS };
  });
  let matched = 0;
  for (const cut of cuts) {
    const there = machine.lives.find(({ fromS, toS }) => fromS < cut.fromS - 60 && toS > cut.toS + 60);
    const blind = plan.troubles.some(
      ({ trouble, fromS, toS }) => trouble === "board-off" && fromS < cut.toS + 60 && toS > cut.fromS - 90,
    );
    if (there === undefined || blind) continue;
    const name = `the cut from ${cut.fromS} to ${cut.toS} s`;
    const its = placed.filter(({ fromS, toS }) => fromS < cut.toS && toS > cut.fromS);
    const [run] = its;
    if (run === undefined || its.length !== 1) {
      wrong.push(`${name}: ${its.length} runs`);
      continue;
    }
    if (Math.abs(run.fromS - cut.fromS) > EDGE_S || Math.abs(run.toS - cut.toS) > EDGE_S)
      wrong.push(`${name}: its run is from ${run.fromS} to ${run.toS} s`);
    if (!run.coolant.known || run.coolant.mean === null) continue;
    matched += 1;
    if (Math.abs(run.coolant.mean - cut.meanC) > STAMP_C)
      wrong.push(
        `${name}: its stamp says ${run.coolant.mean.toFixed(2)} °C where the water had ${cut.meanC.toFixed(2)}`,
      );
  }
  return { wrong, matched };
}

/**
 * What the station's own look finds wrong. The readings of a stamp may never have been kept where they went with a kill while they were held,
 * because the disk was full.
 */
export function judgeVerified(
  verified: readonly Verified[],
  runs: readonly KeptRun[],
  machine: Pick<SoakFacts["machine"], "boots" | "lives">,
): { readonly wrong: string[]; readonly excused: number } {
  const wrong = new Set<string>();
  const excused = new Set<number>();
  const zeroOf = new Map(machine.boots.map(({ id, zeroS }) => [id, zeroS]));
  for (const { doubtful, unkept, damage } of verified) {
    if (damage !== null) wrong.add(`verify: ${damage}`);
    for (const { number, differences } of doubtful)
      wrong.add(`verify: the stamp of run ${number}: ${JSON.stringify(differences).slice(0, 300)}`);
    for (const { number } of unkept) {
      const run = runs.find((each) => each.number === number);
      const zeroS = zeroOf.get(run?.bootId ?? "") ?? Number.NaN;
      const endS = (run?.endMono ?? 0) / 1000 + zeroS;
      const gone = machine.lives.some(
        ({ heldFromS, stopped, toS }) =>
          heldFromS !== null && !stopped && endS > heldFromS && endS <= toS + 1,
      );
      if (gone) excused.add(number);
      else wrong.add(`verify: the readings of run ${number}, ended at ${endS.toFixed(0)} s, were never kept`);
    }
  }
  return { wrong: [...wrong], excused: excused.size };
}

/** What one start may hold more at the end of the quiet stretch than at its beginning. */
const MOST_GROWTH_MB = 2;
const MOST_MORE = 4;

export function judgeGrowth(measured: SoakFacts["measured"]): {
  readonly wrong: string[];
  readonly mb: number;
} {
  const [first, last] = [measured[0], measured.at(-1)];
  if (first === undefined || last === undefined || measured.length < 2)
    return { wrong: ["memory was not measured twice"], mb: 0 };
  const mb = (last.heapUsed + last.external - first.heapUsed - first.external) / 1e6;
  const wrong = mb > MOST_GROWTH_MB ? [`the heap has grown by ${mb.toFixed(2)} MB`] : [];
  for (const what of ["files", "threads", "timers", "handles"] as const)
    if (last[what] - first[what] > MOST_MORE)
      wrong.push(`${what}: ${first[what]} at first, ${last[what]} at last`);
  return { wrong, mb };
}
