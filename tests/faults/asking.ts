import { AppError } from "../../station/errors.js";
import { type Columns, readingsOf } from "../../station/journal/columns.js";
import type { Db } from "../../station/journal/database.js";
import { createReads } from "../../station/journal/reads.js";
import { refusalOf } from "../../station/journal/refusal.js";
import type { Series } from "../../station/model/now.js";
import type { Reading } from "../../station/model/reading.js";
import { blocksOf, WALL } from "../unit/journal/samples.js";
import { CHANNELS, type Filled, HOUR, type State } from "./filled.js";

/** A question, and whether an answer is what was in the journal at some time. */
export interface Question {
  readonly name: string;
  ask(db: Db): unknown;
  fits(answer: unknown, state: State): boolean;
}

const ALL = { after: 0, limit: 500 };
const FROM = WALL + 24 * HOUR;
const TO = WALL + 3 * 24 * HOUR + 4 * HOUR;

/** Everything that a page, an export or the start of the station asks, of windows and buckets drawn by lot. */
export function questionsOf(filled: Filled, random: () => number): Question[] {
  const { boots } = filled;
  const name = CHANNELS[Math.floor(random() * CHANNELS.length)] as string;
  const minute = FROM + Math.floor(random() * 60) * 60_000;
  const second = FROM + Math.floor(random() * 2.5 * HOUR);
  return [
    ...boots.map((boot) => replayOf(filled, boot)),
    ...boots.map((boot) => lastBefore(filled, boot, 1000 + Math.floor(random() * 3 * HOUR))),
    seriesOf(filled, name, FROM, TO, 18),
    seriesOf(filled, name, FROM, TO, 300),
    ...boots.map((_, i) =>
      seriesOf(filled, name, minute + i * 24 * HOUR, minute + i * 24 * HOUR + 2 * HOUR, 120),
    ),
    ...boots.map((_, i) =>
      seriesOf(filled, name, second + i * 24 * HOUR, second + i * 24 * HOUR + HOUR / 3, 100),
    ),
    like(
      "runs",
      (db) => createReads(db).runsAfter(ALL),
      (answer) => (answer as { run: unknown }[]).map(({ run }) => run),
      ({ runs }) => runs,
    ),
    like(
      "alarms",
      (db) => createReads(db).transitionsAfter(ALL),
      (answer) => (answer as Record<string, unknown>[]).map(({ seq, session, ...transition }) => transition),
      ({ alarms }) => filled.alarms.slice(0, alarms),
    ),
    like(
      "settings",
      (db) => createReads(db).changesAfter(ALL),
      (answer) => (answer as Record<string, unknown>[]).map(({ id, session, ...change }) => change),
      ({ settings }) => filled.settings.slice(0, settings),
    ),
    like(
      "maintenance",
      (db) => createReads(db).marks({ from: FROM, to: TO, limit: 1000 }),
      (answer) => (answer as { maintenance: { note: string }[] }).maintenance.map(({ note }) => note),
      ({ maintenance }) =>
        filled.maintenance
          .slice(0, maintenance)
          .map(({ note }) => note)
          .reverse(),
    ),
    like(
      "deeds",
      (db) => createReads(db).deeds({ limit: 500 }),
      (answer) =>
        (answer as { deeds: Record<string, unknown>[] }).deeds.map(({ subject, detail }) => [
          subject,
          detail,
        ]),
      ({ deeds }) =>
        filled.deeds
          .slice(0, deeds)
          .map(({ subject, detail }) => [subject, detail])
          .reverse(),
    ),
    runMarks(),
    like(
      "last alarm",
      (db) => createReads(db).alarmLog({ limit: 1 }),
      (answer) => (answer as { transitions: { id: string }[] }).transitions[0]?.id,
      ({ alarms }) => filled.alarms[alarms - 1]?.id,
    ),
  ];
}

function like(
  name: string,
  ask: Question["ask"],
  part: (answer: unknown) => unknown,
  of: (state: State) => unknown,
): Question {
  return {
    name,
    ask: (db) => JSON.stringify(part(ask(db))),
    fits: (answer, state) => answer === JSON.stringify(of(state)),
  };
}

/** Each mark as it was; one that an index or a row hides may be missing, which `verify` finds. */
function runMarks(): Question {
  return {
    name: "marks of runs",
    ask: (db) => createReads(db).marks({ from: FROM, to: TO, limit: 1000 }),
    fits(answer, { runs }) {
      const all = runs.map(({ number, startWall }) => `${number} ${startWall}`).reverse();
      let place = -1;
      return (answer as { runs: { number: number; startWall: number }[] }).runs.every((mark) => {
        place = all.indexOf(`${mark.number} ${mark.startWall}`, place + 1);
        return place !== -1;
      });
    },
  };
}

function ofBoot({ readings }: Filled, boot: string, state: State): Reading[] {
  return readings
    .slice(0, state.readings)
    .filter((each) => each.boot === boot)
    .map(({ reading }) => reading);
}

function replayOf(filled: Filled, boot: string): Question {
  const window = { bootId: boot, fromMono: 0, toMono: Number.MAX_SAFE_INTEGER };
  return like(
    `replay of ${boot}`,
    (db) => blocksOf(createReads(db), window).flat(),
    (answer) => answer,
    (state) => ofBoot(filled, boot, state),
  );
}

function lastBefore(filled: Filled, boot: string, mono: number): Question {
  const withinMs = 2 * HOUR;
  return like(
    `last of ${boot} before ${mono}`,
    (db) => readingsOf(createReads(db).lastReadingsBefore({ bootId: boot, mono, withinMs }) as Columns),
    (answer) => answer,
    (state) => {
      const last = new Map<string, Reading>();
      for (const reading of ofBoot(filled, boot, state)) {
        if (reading.at.mono >= mono || reading.at.mono < mono - withinMs) continue;
        last.delete(reading.channel);
        last.set(reading.channel, reading);
      }
      return [...last.values()];
    },
  );
}

function seriesOf(filled: Filled, channel: string, from: number, to: number, buckets: number): Question {
  return {
    name: `series of ${channel}, ${buckets} buckets`,
    ask: (db) => createReads(db).series({ channel, from, to, buckets }),
    fits(answer, state) {
      const series = answer as Series;
      const width = ((series.buckets[1]?.t ?? series.to) as number) - series.from;
      const held = series.buckets.map(() => ({ min: Infinity, max: -Infinity, sum: 0, count: 0 }));
      for (const { reading } of filled.readings.slice(0, state.readings)) {
        const { value, at } = reading;
        if (reading.channel !== channel || value === null || at.wall < series.from || at.wall >= series.to)
          continue;
        const into = held[Math.floor((at.wall - series.from) / width)];
        if (into === undefined) continue;
        into.min = Math.min(into.min, value);
        into.max = Math.max(into.max, value);
        into.sum += value;
        into.count++;
      }
      return series.buckets.every(({ min, mean, max }, i) => {
        const { count, ...own } = held[i] as (typeof held)[number];
        if (count === 0) return min === null && mean === null && max === null;
        return min === own.min && max === own.max && Math.abs((mean as number) - own.sum / count) < 1e-9;
      });
    },
  };
}

/** What comes of a question: an answer, or why there is none; thrown where it is not said in words. */
export function answered(ask: () => unknown): { readonly answer: unknown } | { readonly refused: string } {
  try {
    return { answer: ask() };
  } catch (error) {
    const { code, detail } = refusalOf(error);
    if (code === null || code === "internal") throw error;
    if (!(error instanceof AppError) && detail === "") throw error;
    return { refused: code };
  }
}
