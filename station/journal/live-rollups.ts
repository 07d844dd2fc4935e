import type { Columns } from "./columns.js";
import type { Db } from "./database.js";
import { at, MINUTE_MS, type Rollup, takeReading } from "./rollup.js";

const BAD = 2;

/** Keeps the minutes of readings that are rows, in the transaction that writes the rows. */
export interface LiveRollups {
  /**
   * Adds the readings from place `from` up to, not including, `to`, which belong to the stretch that begins at `stretch`.
   * @param numbers the channels' numbers, as `columns.channels` has their ids
   */
  add(stretch: number, columns: Columns, from: number, to: number, numbers: readonly number[]): void;
}

export function createLiveRollups(db: Db): LiveRollups {
  const save = db.prepare(
    `INSERT INTO live_minute (stretch, minute, channel, min, max, sum, count, bad) VALUES (?, ?, ?, ?, ?, ?, ?, ?)
     ON CONFLICT (stretch, minute, channel) DO UPDATE SET
       min = min(coalesce(min, excluded.min), coalesce(excluded.min, min)),
       max = max(coalesce(max, excluded.max), coalesce(excluded.max, max)),
       sum = sum + excluded.sum, count = count + excluded.count, bad = bad + excluded.bad`,
  );

  return {
    add(stretch, { channel, wall, value, quality }, from, to, numbers) {
      const byChannel = numbers.map(() => new Map<number, Rollup>());
      for (let i = from; i < to; i++) {
        const minutes = byChannel[channel[i] as number] as Map<number, Rollup>;
        const rollup = at(minutes, Math.floor((wall[i] as number) / MINUTE_MS));
        takeReading(rollup, value[i] as number, quality[i] === BAD);
      }
      for (const [c, minutes] of byChannel.entries()) {
        for (const { place, min, max, sum, count, bad } of minutes.values()) {
          const none = count === 0;
          // Infinities of both signs add up to no number, which SQLite would take for NULL and refuse.
          const total = Number.isNaN(sum) ? 0 : sum;
          save.run(stretch, place, numbers[c], none ? null : min, none ? null : max, total, count, bad);
        }
      }
    },
  };
}
