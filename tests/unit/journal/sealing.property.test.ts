import fc from "fast-check";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { type Columns, readingsOf } from "../../../station/journal/columns.js";
import { createReads, type Reads } from "../../../station/journal/reads.js";
import { createWriter } from "../../../station/journal/writer.js";
import type { Series } from "../../../station/model/now.js";
import type { Reading } from "../../../station/model/reading.js";
import { reduced } from "./reduced.js";
import {
  type Bench,
  blocksOf,
  channel,
  columnsOf,
  reading,
  seal,
  sessionStart,
  WALL,
  writerBench,
} from "./samples.js";

const HOUR = 3_600_000;
const CHANNELS = ["coolant", "room", "lid"];

let bench: Bench;
let reads: Reads;
beforeEach(() => {
  bench = writerBench();
  reads = createReads(bench.db);
});
afterEach(() => bench.remove());

function kept(bootId: string): Reading[] {
  return blocksOf(reads, {
    bootId,
    fromMono: Number.MIN_SAFE_INTEGER,
    toMono: Number.MAX_SAFE_INTEGER,
  }).flat();
}

interface Step {
  readonly channel: string;
  readonly ms: number;
  /** Change of the wall clock against the monotonic one. */
  readonly set: number;
  readonly value: number | null;
}

const someValue = fc.oneof(
  fc.integer({ min: 0, max: 800 }).map((k) => k / 16),
  fc.integer({ min: 0, max: 500 }).map((k) => k / 10),
  fc.double({ min: -40, max: 100, noNaN: true }).map((n) => (n === 0 ? 0 : n)),
  fc.constant(null),
);
const someSteps = fc.array(
  fc.record({
    channel: fc.constantFrom(...CHANNELS),
    ms: fc.oneof(
      fc.constant(1000),
      fc.integer({ min: -2000, max: 20_000 }),
      fc.integer({ min: 0, max: HOUR }),
    ),
    set: fc.oneof(
      { weight: 40, arbitrary: fc.constant(0) },
      { weight: 1, arbitrary: fc.integer({ min: -48 * HOUR, max: 48 * HOUR }) },
    ),
    value: someValue,
  }),
  { minLength: 1, maxLength: 120 },
);
/** Parcels of readings of some starts of the station, one after another. */
const someStarts = fc.array(
  fc.record({ rebooted: fc.boolean(), parcels: fc.array(someSteps, { minLength: 1, maxLength: 8 }) }),
  { minLength: 1, maxLength: 3 },
);

describe("what is asked before and after sealing", () => {
  let examples = 0;

  /** Writes them under boots and channels of their own; returns what there is to ask for. */
  function write(starts: readonly { rebooted: boolean; parcels: readonly Step[][] }[]) {
    examples++;
    const named = (id: string) => `${id}-${examples}`;
    let boot = 0;
    let [mono, wall] = [0, WALL];
    const all: Reading[] = [];
    for (const [i, { rebooted, parcels }] of starts.entries()) {
      if (rebooted) {
        boot++;
        mono = 0;
      }
      const ids = { start: `start-${examples}-${i}`, bootId: `boot-${examples}-${boot}` };
      const writer = createWriter(bench.db, sessionStart(ids), () => 0);
      const params = CHANNELS.map((id) => channel(named(id)));
      writer.commit({ number: 1, readings: null, action: { name: "channelsDefined", params } });
      for (const [j, steps] of parcels.entries()) {
        const readings = steps.map((step): Reading => {
          mono += step.ms;
          wall += step.ms + step.set;
          const one = reading(named(step.channel), 0, step.value);
          return { ...one, at: { wall, mono } };
        });
        writer.commit({ number: j + 2, readings: columnsOf(readings), action: null });
        all.push(...readings);
      }
    }
    return { all, name: named("coolant"), boots: [`boot-${examples}-0`, `boot-${examples}-1`] };
  }

  it("is the same, wherever sealing stands, and a series agrees with one reading at a time", () => {
    fc.assert(
      fc.property(
        someStarts,
        fc.nat(40),
        fc.array(
          fc.tuple(
            fc.double({ min: -0.1, max: 1, noNaN: true }),
            fc.double({ min: 1e-6, max: 1.2, noNaN: true }),
            fc.integer({ min: 1, max: 400 }),
          ),
          { minLength: 3, maxLength: 3 },
        ),
        (starts, steps, windows) => {
          const { all, name, boots } = write(starts);
          const walls = all.map(({ at }) => at.wall);
          const monos = all.map(({ at }) => at.mono);
          const [first, last] = [Math.min(...walls), Math.max(...walls)];
          const coolant = all.filter(({ channel: id }) => id === name);
          const ask = () => ({
            replays: boots.map((bootId) => kept(bootId)),
            some: boots
              .flatMap((bootId) =>
                blocksOf(reads, {
                  bootId,
                  fromMono: monos[0] as number,
                  toMono: Math.max(...monos) / 2,
                  channels: [name],
                }),
              )
              .flat(),
            lastBefore: boots.map((bootId) =>
              readingsOf(
                reads.lastReadingsBefore({
                  bootId,
                  mono: monos.at(-1) as number,
                  withinMs: 2 * HOUR,
                }) as Columns,
              ),
            ),
            lastAt: boots.map((bootId) => reads.lastReadingAt({ bootId })),
            series: windows.map(([begin, span, buckets]) => {
              const from = Math.floor(first + begin * (last - first));
              const to = from + Math.ceil(span * (last - first + 1000));
              return reads.series({ channel: name, from, to, buckets }) as Series;
            }),
            runSeries: windows.map(([begin, span, buckets]) => {
              // All of them may lie before the boot's zero: a window ends after it begins all the same.
              const reach = Math.max(0, ...monos);
              const fromMono = begin * reach;
              const toMono = fromMono + 1 + span * reach;
              return reads.runSeries({
                channel: name,
                bootId: boots[0] as string,
                fromMono,
                toMono,
                startWall: WALL,
                buckets,
              }) as Series;
            }),
          });
          const before = ask();
          for (const [i, { from, to, buckets }] of before.series.entries()) {
            const width = buckets.length > 1 ? (buckets[1]?.t as number) - from : to - from;
            expect(buckets.length).toBeLessThanOrEqual(windows[i]?.[2] as number);
            expectClose(buckets, reduced(coolant, from, to, width));
          }
          for (const most of [steps, Number.POSITIVE_INFINITY]) {
            seal(bench.db, most);
            const { series, runSeries, ...after } = ask();
            expect(after).toEqual({
              replays: before.replays,
              some: before.some,
              lastBefore: before.lastBefore,
              lastAt: before.lastAt,
            });
            for (const [i, { buckets, ...window }] of [...series, ...runSeries].entries()) {
              const { buckets: others, ...other } = [...before.series, ...before.runSeries][i] as Series;
              expect(window).toEqual(other);
              expectClose(buckets, others);
            }
          }
        },
      ),
      { numRuns: 25 },
    );
    expect(bench.db.prepare("SELECT count(*) FROM sealed").pluck().get()).toBeGreaterThan(20);
  });
});

/** Least and greatest exactly; means as near as adding in another order lets them be. */
function expectClose(given: Series["buckets"], expected: Series["buckets"]): void {
  expect(given.map(({ t, min, max }) => [t, min, max])).toEqual(
    expected.map(({ t, min, max }) => [t, min, max]),
  );
  for (const [i, { mean }] of given.entries()) {
    const other = expected[i]?.mean ?? null;
    if (mean === null || other === null) expect(mean).toBe(other);
    else expect(mean).toBeCloseTo(other, 9);
  }
}
