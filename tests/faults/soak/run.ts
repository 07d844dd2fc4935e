import { mkdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { setTimeout as pause } from "node:timers/promises";
import { stringify } from "yaml";
import { createRandom } from "../../../station/random.js";
import type { SmallDisk } from "../../service/small-disk.js";
import { createAgenda } from "./agenda.js";
import type { Measured } from "./held-station.js";
import { beginningOf, Machine } from "./life.js";
import { bytesOf, countLife, type LifeCount, missing, type Verified, verifyBy, withJournal } from "./look.js";
import { createPerson, type Person } from "./person.js";
import { type Blow, DAY_S, type SoakPlan, type Trouble } from "./plan.js";
import { type Outside, openOutside } from "./servers.js";
import { COOLANT_EVERY_S, jobsOneByOne, LINE_EVERY_S, ROOM_EVERY_S, Shed, soakConfig } from "./shed.js";
import { type Truth, watchTruth } from "./truth.js";

/** Everything that the judge wants to know. */
export interface SoakFacts {
  readonly plan: SoakPlan;
  readonly machine: Machine;
  readonly outside: Outside;
  readonly person: Person;
  readonly truth: Truth;
  readonly counts: readonly LifeCount[];
  /** What was found missing or wrong on the way. */
  readonly wrong: readonly string[];
  readonly verified: readonly Verified[];
  readonly measured: readonly (Measured & { readonly atS: number })[];
  readonly bytes: number;
  /** Real milliseconds that each day took, without the looks at the journal. */
  readonly dayMs: readonly number[];
  /** How often the board's lines were waited for in vain. */
  readonly inVain: number;
  readonly endS: number;
}

/** Of the journal's disk. */
export const DISK_BYTES = 128e6;
const PERSON_EVERY_S = 60;
/** So long after a trouble somebody still comes by every minute, and else once an hour. */
const PERSON_STAYS_S = 1800;
const SHEET_BEFORE_S = 15;
const VERIFY_EVERY_S = 5 * DAY_S;
/** After the last day, so that what waits can go out. */
const DRAIN_S = 3600;
const LEAST_DRAIN_S = 600;
const MOST_KILL_MS = 20;
/** Readings that were held are written by then, after there is room again. */
const WRITTEN_AFTER_S = 600;
/** When what one start holds is measured, as shares of the quiet stretch. */
const MEASURED_AT = [0.15, 0.4, 0.7, 1];

export async function runSoak(
  plan: SoakPlan,
  seed: number,
  disk: SmallDisk,
  folder: string,
): Promise<SoakFacts> {
  const random = createRandom(seed, 14);
  let nowS = 0;
  const outside = await openOutside(folder, () => nowS);
  const shed = await Shed.open(folder, seed);
  const [backups, config, journal] = [
    join(folder, "backups"),
    join(folder, "station.yaml"),
    join(disk.folder, "journal"),
  ];
  mkdirSync(backups);
  writeFileSync(config, stringify(soakConfig(shed, outside.ports, backups)));
  const args = ["--port", "0", "--journal", journal, "--config", config, "--sys-root", shed.sys.root];
  const machine = new Machine(beginningOf(plan.days), { args, cwd: folder, through: disk.through });
  const person = createPerson(machine, () => nowS);
  const truth = watchTruth();
  const agenda = createAgenda();
  const counts: LifeCount[] = [];
  const wrong: string[] = [];
  const verified: Verified[] = [];
  const measured: (Measured & { readonly atS: number })[] = [];
  const dayMs: number[] = [];
  const on = new Set<Trouble["trouble"]>();
  let inVain = 0;
  /** How many of the answers an earlier look has seen to; the last one looks for all. */
  let foundBefore = 0;
  let lookedMs = 0;
  let troubleS = Number.NEGATIVE_INFINITY;
  /** Since when the disk has been full, until what was held is written. */
  let fullFromS: number | null = null;

  /** Lets the station's clock go on to now; what the board has said meanwhile is read first. */
  async function goOn(): Promise<void> {
    const station = machine.running;
    const before = station.heldUp;
    await station.order({ to: machine.monoAt(nowS), ...shed.wanted });
    const late = station.heldUp > before;
    if (late) inVain += 1;
    shed.wasRead(station.bytesRead, late);
    if (station.ended) throw new Error(`the station has ended by itself:\n${station.output().slice(-3000)}`);
  }

  /** At any moment: while it reads, commits, is asked, sends. */
  async function kill(): Promise<void> {
    const station = machine.running;
    const asking = person.enterSheet().catch(() => undefined);
    const going = station.order({ to: machine.monoAt(nowS + 5), ...shed.wanted }).catch(() => undefined);
    await pause(random() * MOST_KILL_MS);
    await station.kill();
    await Promise.all([asking, going]);
    over();
  }

  function over(): void {
    machine.over(nowS, shed.lines);
  }

  async function start(): Promise<void> {
    shed.startedAnew();
    await machine.start(nowS);
    if (fullFromS !== null) machine.life.heldFromS = nowS;
    await lookBack();
  }

  /** After each start: what was answered for since the last is there, and what was fed to the one before. */
  async function lookBack(): Promise<void> {
    const begun = performance.now();
    await withJournal(disk, folder, (db) => {
      wrong.push(...missing(db, person.answered, machine.station === null ? 0 : foundBefore));
      foundBefore = person.answered.length;
      for (const [index, life] of machine.lives.entries()) {
        if (index < counts.length || life.toS === Number.POSITIVE_INFINITY) continue;
        const count = countLife(db, life, index);
        counts.push(count);
        wrong.push(...count.wrong);
      }
    });
    lookedMs += performance.now() - begun;
  }

  function verify(): void {
    const found = verifyBy(disk.through, journal);
    verified.push(found);
    lookedMs += found.ms;
  }

  async function strike(blow: Blow): Promise<void> {
    if (blow.blow === "clock") {
      await machine.setClock(nowS, blow.byS * 1000, false);
      agenda.add(nowS + blow.setAfterS, () => machine.setClock(nowS, 0, true));
      return;
    }
    if (machine.station === null) return;
    const wall = machine.wallAt(nowS);
    await kill();
    agenda.add(nowS + blow.downS, async () => {
      if (blow.blow === "power-cut") {
        machine.bootAnew(nowS, wall - blow.behindS * 1000);
        agenda.add(nowS + blow.setAfterS, () => machine.setClock(nowS, 0, true));
      }
      await start();
    });
  }

  async function begin({ trouble, leave = 0 }: Trouble): Promise<void> {
    on.add(trouble);
    if (trouble === "probe-off") shed.sys.coolantUnplugged();
    else if (trouble === "room-sensor-off") shed.unplugRoom();
    else if (trouble === "board-off") await shed.unplugBoard(machine.station?.bytesRead ?? 0);
    else if (trouble === "network") await outside.goAway();
    else if (trouble === "disk-full") {
      fullFromS = nowS;
      if (machine.station !== null) machine.life.heldFromS = nowS;
      // To the last byte there may be no room for what leads to the file itself.
      await disk.fillUp(leave).catch(() => undefined);
    }
  }
  async function end({ trouble }: Trouble): Promise<void> {
    on.delete(trouble);
    troubleS = nowS;
    if (trouble === "probe-off") shed.showCoolant();
    else if (trouble === "room-sensor-off") shed.plugRoom();
    else if (trouble === "board-off") await shed.plugBoard();
    else if (trouble === "network") await outside.comeBack();
    else if (trouble === "disk-full") {
      await disk.makeRoom();
      agenda.add(nowS + WRITTEN_AFTER_S, () => {
        fullFromS = null;
        if (machine.station !== null) machine.life.heldFromS = null;
      });
    }
  }

  for (const trouble of plan.troubles) {
    agenda.add(trouble.fromS, () => begin(trouble));
    agenda.add(trouble.toS, () => end(trouble));
  }
  for (const blow of plan.blows) agenda.add(blow.atS, () => strike(blow));
  const { fromS, toS } = plan.quiet;
  for (const share of MEASURED_AT)
    agenda.add(Math.floor(fromS + share * (toS - fromS)), async () => {
      if (machine.station !== null) measured.push({ ...(await machine.running.measure()), atS: nowS });
    });
  for (let atS = VERIFY_EVERY_S; atS < plan.days * DAY_S; atS += VERIFY_EVERY_S) agenda.add(atS, verify);

  await start();
  const jobAt = jobsOneByOne(plan.jobs);
  const endS = Math.round(plan.days * DAY_S + Math.max(LEAST_DRAIN_S, DRAIN_S * Math.min(1, plan.days)));
  let dayBegan = performance.now();
  for (; nowS < endS; nowS += 1) {
    if (agenda.isDue(nowS) && machine.station !== null) await goOn();
    await agenda.keep(nowS);
    const job = jobAt(nowS);
    const before = shed.laser;
    shed.pass(nowS, job, (trouble) => on.has(trouble));
    truth.see(nowS, shed);
    if (nowS % DAY_S === DAY_S - 1) {
      dayMs.push(performance.now() - dayBegan - lookedMs);
      process.stdout.write(
        `day ${dayMs.length} of ${plan.days}: ${((dayMs.at(-1) ?? 0) / 1000).toFixed(0)} s, ${wrong.length} wrong\n`,
      );
      dayBegan = performance.now();
      lookedMs = 0;
    }
    if (nowS % COOLANT_EVERY_S === 0 && !on.has("probe-off")) shed.showCoolant();
    if (nowS % ROOM_EVERY_S === 0) shed.showRoom();
    if (machine.station === null) continue;
    const line = shed.laser !== before || nowS % LINE_EVERY_S === 0;
    const sheet = job !== undefined && nowS === job.fromS - SHEET_BEFORE_S;
    const near = on.size > 0 || nowS - troubleS < PERSON_STAYS_S || nowS % 3600 < PERSON_EVERY_S;
    const looks = near && nowS % PERSON_EVERY_S === 0;
    if (!line && !sheet && !looks) continue;
    await goOn();
    if (line) shed.say(nowS);
    if (sheet) await person.enterSheet();
    if (looks) await person.answerAlarms();
  }
  await goOn();
  const { running } = machine;
  machine.life.stopped = true;
  const code = await running.stop();
  over();
  const bytes = await bytesOf(disk);
  if (code !== 0) wrong.push(`told to stop the station ended with ${code}`);
  await lookBack();
  verify();
  await shed.close();
  await outside.goAway();
  return {
    ...{ plan, machine, outside, person, truth, counts, wrong, verified, measured },
    ...{ bytes, dayMs, inVain, endS },
  };
}
