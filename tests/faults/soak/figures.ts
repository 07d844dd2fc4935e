import { cpus } from "node:os";
import type { SmallDisk } from "../../service/small-disk.js";
import { changesOf, judgeAlarms, judgeGrowth, judgeOutward, judgeRuns, judgeVerified } from "./judge.js";
import { noticesOf, runsOf, transitionsOf, withJournal } from "./look.js";
import { DAY_S } from "./plan.js";
import type { SoakFacts } from "./run.js";

export interface Judged {
  readonly table: string;
  /** What is not as it is to be, in words; none where the soak was passed. */
  readonly wrong: readonly string[];
}

/** Holds all that came of a soak against what is to come, and puts its figures into a table. */
export async function judgeSoak(
  facts: SoakFacts,
  disk: SmallDisk,
  folder: string,
  seed: number,
  minutes: number,
): Promise<Judged> {
  const kept = await withJournal(disk, folder, (db) => ({
    ...{ transitions: transitionsOf(db), notices: noticesOf(db), runs: runsOf(db) },
  }));
  const { plan, machine, outside, counts, verified, measured, dayMs } = facts;
  const { days } = plan;
  const changes = changesOf(kept.transitions, facts);
  const cutOffs = [
    ...machine.lives.map(({ toS }) => toS),
    ...plan.troubles.filter(({ trouble }) => trouble === "network").flatMap(({ fromS, toS }) => [fromS, toS]),
  ];
  const alarms = judgeAlarms(changes, facts, machine.lives);
  const ways = (["mail", "mqtt", "webhook"] as const).filter((way) => outside.ports[way] !== null);
  const outward = judgeOutward(changes, kept.notices, outside.receipts, cutOffs, ways);
  const runs = judgeRuns(kept.runs, facts.truth.cuts, facts);
  const growth = judgeGrowth(measured);
  const looks = judgeVerified(verified, kept.runs, machine);
  const sum = (values: readonly number[]) => values.reduce((all, one) => all + one, 0);
  const readings = sum(counts.map((count) => count.readings));
  const opened = machine.lives
    .slice(1)
    .map(({ openedMs }) => openedMs)
    .sort((a, b) => a - b);
  const blows = (what: string) => plan.blows.filter(({ blow }) => blow === what).length;
  const troubles = (what: string) => plan.troubles.filter(({ trouble }) => trouble === what).length;
  const [first, last] = [measured[0], measured.at(-1)];
  const rows: [string, string][] = [
    [
      "date, machine",
      `${new Date().toISOString().slice(0, 16)}Z, ${cpus().length} × ${cpus()[0]?.model ?? "?"}, node ${process.version}`,
    ],
    [
      "seed, days, how long",
      `${seed}, ${days} days in ${minutes.toFixed(1)} min (${(days / minutes).toFixed(2)} days a minute)`,
    ],
    [
      "starts; kills, power cuts, clock set wrong",
      `${machine.lives.length}; ${blows("kill")}, ${blows("power-cut")}, ${blows("clock")}`,
    ],
    [
      "disk full, network gone, sensors and boards unplugged",
      `${troubles("disk-full")}, ${troubles("network")}, ${troubles("probe-off") + troubles("room-sensor-off") + troubles("board-off")}`,
    ],
    ["answered for and found", String(facts.person.answered.length)],
    [
      "readings; board's lines kept, cut off by kills, lost out of memory",
      `${readings}; ${sum(counts.map((c) => c.kept))}, ${sum(counts.map((c) => c.cutOff))}, ${sum(counts.map((c) => c.held))}`,
    ],
    [
      "runs; stamps that agree with the readings, whose readings went with a kill out of memory, that agree with the true water",
      `${kept.runs.length}; ${verified.at(-1)?.agree}, ${looks.excused}, ${runs.matched}`,
    ],
    ["troubles told; longest until told", `${alarms.told}; ${alarms.longestS.toFixed(0)} s`],
    ["told outward; sent again after a cut", `${outward.sent}; ${outward.again}`],
    ["bytes a reading (journal)", (facts.bytes / readings).toFixed(2)],
    [
      "start after a kill, median and longest",
      `${opened[Math.floor(opened.length / 2)]?.toFixed(0)} and ${opened.at(-1)?.toFixed(0)} ms`,
    ],
    [
      "heap in the quiet stretch, at its days",
      `${measured.map(({ heapUsed, atS }) => `${mb(heapUsed)} MB (${(atS / DAY_S).toFixed(1)})`).join(", ")}; grown by ${growth.mb.toFixed(2)} (with buffers)`,
    ],
    [
      "files, threads, timers, resident",
      `${first?.files} → ${last?.files}, ${first?.threads} → ${last?.threads}, ${first?.timers} → ${last?.timers}, ${mb(first?.rss)} → ${mb(last?.rss)} MB`,
    ],
    ["verify at the end", `${((verified.at(-1)?.ms ?? 0) / 1000).toFixed(1)} s`],
    ["a day takes, first and last", `${(dayMs[0] ?? 0).toFixed(0)} and ${(dayMs.at(-1) ?? 0).toFixed(0)} ms`],
    ["board waited for in vain", String(facts.inVain)],
  ];
  const wrong = [
    ...facts.wrong,
    ...looks.wrong,
    ...[...alarms.wrong, ...outward.wrong, ...runs.wrong, ...growth.wrong],
  ];
  if (runs.matched < plan.jobs.length / 2)
    wrong.push(`only ${runs.matched} of ${plan.jobs.length} cuts could be held against the water`);
  return {
    table: `| soak | ${days} days |\n| --- | --- |\n${rows.map(([what, said]) => `| ${what} | ${said} |\n`).join("")}`,
    wrong,
  };
}

function mb(bytes = Number.NaN): string {
  return (bytes / 1e6).toFixed(1);
}
