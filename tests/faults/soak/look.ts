import { execFileSync } from "node:child_process";
import { rmSync } from "node:fs";
import { join } from "node:path";
import { type Db, openForReading } from "../../../station/journal/database.js";
import type { KeptSession } from "../../../station/journal/reader-calls.js";
import { createReads } from "../../../station/journal/reads.js";
import type { Reading } from "../../../station/model/reading.js";
import type { VerifyReport } from "../../../station/verify.js";
import type { SmallDisk } from "../../service/small-disk.js";
import { blocksOf } from "../../unit/journal/samples.js";
import type { Life } from "./life.js";
import type { Answered } from "./person.js";
import { COOLANT_EVERY_S, NUMBERS } from "./shed.js";

/** A commit is due so long after a reading at the latest, and the answer of a kill is not waited for; seconds. */
const UNCOMMITTED_S = 4;
/** What a polled sensor may be off by: the turn of each round, and the first and last. */
const COUNT_SHARE = 0.02;

/** Looks at a copy of the journal off its disk, which no other process sees; the station is at rest meanwhile. */
export async function withJournal<T>(disk: SmallDisk, scratch: string, work: (db: Db) => T): Promise<T> {
  const copy = join(scratch, "copy");
  rmSync(copy, { recursive: true, force: true });
  await disk.run(`mkdir ${copy} && cp $D/journal/journal.sqlite* ${copy}/ && rm -f ${copy}/*-shm`);
  const db = openForReading(copy);
  try {
    return work(db);
  } finally {
    db.close();
  }
}

/** Answers that the journal does not have. @param seen so many, from the first on, were found before and are not looked for again */
export function missing(db: Db, answered: readonly Answered[], seen = 0): string[] {
  const count = (sql: string, ...words: string[]) =>
    db
      .prepare<string[], number>(sql)
      .pluck()
      .get(...words) ?? 0;
  const cleaned = answered.filter(({ what }) => what === "cleaned").length;
  const kept = count("SELECT count(*) FROM maintenance WHERE kind = 'optics-cleaned'");
  const lost = answered.slice(seen).filter(({ what, mark }) => {
    if (what === "job-sheet")
      return count("SELECT count(*) FROM setting_change WHERE instr(new, ?) > 0", `"${mark}"`) < 1;
    if (what === "acknowledged") return count("SELECT count(*) FROM alarm_transition WHERE by = ?", mark) < 1;
    return false;
  });
  return [
    ...lost.map(({ what, mark, atS }) => `${what} ${mark} of ${atS} s was answered for and is not there`),
    ...(kept < cleaned ? [`${cleaned} cleanings were answered for, ${kept} are there`] : []),
  ];
}

export interface LifeCount {
  readonly readings: number;
  /** Lines of the board that are in the journal, that were lost with a kill, and that were lost out of memory that was said to be held. */
  readonly kept: number;
  readonly cutOff: number;
  readonly held: number;
  readonly wrong: readonly string[];
}

/** Holds what the journal has of a start against what was fed in it. */
export function countLife(db: Db, life: Life, index: number): LifeCount {
  const reads = createReads(db);
  const session = (reads.sessions(null) as KeptSession[]).toSorted((a, b) => a.session - b.session)[index];
  const name = `start ${index + 1}`;
  const nothing = { readings: 0, kept: 0, cutOff: 0, held: 0 };
  if (session === undefined) return { ...nothing, wrong: [`${name} is not in the journal`] };
  const all = (channel: string): Reading[] =>
    blocksOf(reads, {
      ...{ bootId: life.boot.id, session: session.session, fromMono: 0, toMono: Number.MAX_SAFE_INTEGER },
      channels: [channel],
    }).flat();
  const wrong: string[] = [];

  const numbers = all("flow")
    .filter(({ quality }) => quality !== "bad")
    .map(({ value }) => Math.round(((value ?? 0) - 2) * NUMBERS));
  const endS = life.stopped ? Number.POSITIVE_INFINITY : life.toS - UNCOMMITTED_S;
  let at = 0;
  let cutOff = 0;
  let held = 0;
  const gone: number[] = [];
  for (const line of life.lines) {
    if (numbers[at] === line.number) {
      at += 1;
      if (held + cutOff > 0)
        wrong.push(`${name}: line ${line.number} of ${line.atS} s stands behind some that are lost`);
    } else if (!line.heard || line.bytes > life.bytesRead) continue;
    else if (line.atS >= endS) cutOff += 1;
    else if (life.heldFromS !== null && !life.stopped && line.atS >= life.heldFromS) held += 1;
    else gone.push(line.atS);
  }
  if (gone.length > 0)
    wrong.push(`${name}: ${gone.length} lines were read and are not there, the first of ${gone[0]} s`);
  if (at < numbers.length)
    wrong.push(
      `${name}: ${numbers.length - at} readings of the board more than it sent, or in another order`,
    );

  const coolant = all("coolant-in").length;
  // What was held may have gone with the kill, or have been written before it.
  const leastS = life.heldFromS !== null && !life.stopped ? life.heldFromS : life.toS;
  const [least, most] = [leastS, life.toS].map((atS) => (atS - life.fromS) / COOLANT_EVERY_S) as [
    number,
    number,
  ];
  if (coolant < least * (1 - COUNT_SHARE) - 3 || coolant > most * (1 + COUNT_SHARE) + 3)
    wrong.push(
      `${name}: ${coolant} readings of the coolant where ${least.toFixed(0)} to ${most.toFixed(0)} were due`,
    );
  const readings = db
    .prepare<[number, number], number>(
      `SELECT (SELECT count(*) FROM reading WHERE session = ?) +
       (SELECT coalesce(sum(readings), 0) FROM block JOIN sealed ON sealed.first_id = block.sealed WHERE sealed.session = ?)`,
    )
    .pluck()
    .get(session.session, session.session) as number;
  return { readings, kept: at, cutOff, held, wrong };
}

export interface Verified {
  readonly runs: number;
  readonly agree: number;
  /** Runs whose stamp is not what the readings give. */
  readonly doubtful: readonly { readonly number: number; readonly differences: readonly object[] }[];
  /** Runs whose readings never were in the journal, as their stamps say. */
  readonly unkept: readonly { readonly number: number }[];
  /** All else that is wrong, as it was said; null for nothing. */
  readonly damage: string | null;
  readonly ms: number;
}

/** The station's own look at everything, as somebody calls it on the command line. */
export function verifyBy(through: readonly string[], folder: string): Verified {
  const begun = performance.now();
  const command = join(process.cwd(), ".build/station/command.js");
  const [program = "", ...words] = [
    ...through,
    process.execPath,
    command,
    "verify",
    "--json",
    "--journal",
    folder,
  ];
  let text: string;
  try {
    text = execFileSync(program, words, { encoding: "utf8", maxBuffer: 1e8 });
  } catch (error) {
    text = String((error as { stdout?: string }).stdout ?? "");
    if (text === "") throw error;
  }
  const { runs, agree, doubtful, unkept, ...rest } = JSON.parse(text) as Pick<
    Verified,
    "runs" | "agree" | "doubtful" | "unkept"
  > &
    Found;
  const { damage, readings, photos, unseen } = rest;
  const sound =
    damage.length === 0 && readings?.damaged.count === 0 && readings.wrong.count === 0 && unseen === null;
  const pictured = photos?.missing.length === 0 && photos.damaged.length === 0;
  const wrong = sound && pictured ? null : JSON.stringify(rest).slice(0, 1500);
  return { runs, agree, doubtful, unkept, damage: wrong, ms: performance.now() - begun };
}

/** The part of what `verify` says that has nothing to do with runs. */
type Found = Pick<VerifyReport, "damage" | "readings" | "photos" | "unseen">;

/** Of the journal with its WAL. */
export async function bytesOf(disk: SmallDisk): Promise<number> {
  return Number(await disk.run("cat $D/journal/journal.sqlite* | wc -c"));
}

export interface KeptRun {
  readonly number: number;
  readonly bootId: string;
  readonly startMono: number;
  readonly endMono: number;
  readonly endCause: string;
  readonly settings: { readonly specimen?: string };
  readonly coolant: {
    readonly known: boolean;
    readonly mean: number | null;
    readonly min: number | null;
    readonly max: number | null;
  };
}

export function runsOf(db: Db): KeptRun[] {
  const rows = db
    .prepare<
      [],
      {
        number: number;
        boot_id: string;
        start_mono: number;
        end_mono: number;
        end_cause: string;
        settings: string;
        stamp: string;
      }
    >(
      "SELECT number, boot_id, start_mono, end_mono, end_cause, settings, stamp FROM run WHERE stamp IS NOT NULL ORDER BY number",
    )
    .all();
  return rows.map((row) => ({
    ...{
      number: row.number,
      bootId: row.boot_id,
      startMono: row.start_mono,
      endMono: row.end_mono,
      endCause: row.end_cause,
    },
    settings: JSON.parse(row.settings) as KeptRun["settings"],
    coolant: (JSON.parse(row.stamp) as { channels: Record<string, KeptRun["coolant"]> }).channels[
      "coolant-in"
    ] as KeptRun["coolant"],
  }));
}

export interface KeptTransition {
  readonly id: string;
  readonly alarm: string;
  readonly priority: string;
  readonly transition: string;
  readonly to: string;
  readonly detail: string;
  readonly bootId: string;
  readonly mono: number;
}

export function transitionsOf(db: Db): KeptTransition[] {
  return db
    .prepare<[], KeptTransition>(
      `SELECT a.id, alarm, priority, transition, to_state AS "to", detail, boot_id AS bootId, mono
       FROM alarm_transition a JOIN session s ON s.id = a.session ORDER BY seq`,
    )
    .all();
}

export interface KeptNotice {
  readonly key: string;
  readonly way: string;
  readonly state: string;
  readonly message: string | null;
}

export function noticesOf(db: Db): KeptNotice[] {
  return db.prepare<[], KeptNotice>("SELECT key, way, state, message FROM notice").all();
}
