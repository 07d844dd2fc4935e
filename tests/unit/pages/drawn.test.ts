import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { Marks } from "../../../station/model/marks.js";
import type { Bucket, Series } from "../../../station/model/now.js";
import { meanPoints } from "../../../ui/src/charts/bridged.js";
import { badStretches } from "../../../ui/src/charts/over-time.js";
import { spikesOf } from "../../../ui/src/charts/spikes.js";
import { csvOf } from "../../../ui/src/history/csv.js";
import { clustersOf, happeningsOf, panelMarks } from "../../../ui/src/history/happenings.js";
import { countText, howMany } from "../../../ui/src/history/mark-words.js";
import { firstShown, panelsOf } from "../../../ui/src/history/panels.js";

/** Buckets a second wide; null for an empty one. */
const row = (...means: (number | null)[]): Bucket[] =>
  means.map((mean, i) => ({ t: i * 1000, min: mean, mean, max: mean }));

describe("the line through the means", () => {
  it("breaks where the channel went stale, and not between two readings that merely lie further apart than buckets", () => {
    const sparse = row(1, null, 2, null, null, 3);
    expect(meanPoints(sparse, 3000).map(({ y }) => y)).toEqual([1, 2, 3]);
    expect(meanPoints(sparse, 1000).map(({ y }) => y)).toEqual([1, 2, null, 3]);
    expect(meanPoints(sparse, 100).map(({ y }) => y)).toEqual([1, null, 2, null, 3]);
  });

  it("breaks at every empty bucket that is wider than a value holds", () => {
    const hours = row(1, null, 2, 3).map((bucket) => ({ ...bucket, t: bucket.t * 3600 }));
    expect(meanPoints(hours, 10_000)).toEqual([
      { x: 1_800_000, y: 1 },
      { x: 3_600_000, y: null },
      { x: 9_000_000, y: 2 },
      { x: 12_600_000, y: 3 },
    ]);
  });

  it("has nothing where there is no value", () => {
    expect(meanPoints([], 1000)).toEqual([]);
    expect(meanPoints(row(null, null), 1000)).toEqual([]);
  });
});

describe("a spike", () => {
  const calm = (i: number): Bucket => ({ t: i, min: 18, mean: 19, max: 20 });

  it("is what stands out from both neighbours by more than they spread themselves", () => {
    const up = [calm(0), { t: 1, min: 18, mean: 19, max: 34 }, calm(2)];
    expect(spikesOf(up, 0.5)).toEqual([{ t: 1, base: 20, tip: 34 }]);
    const down = [calm(0), { t: 1, min: 5, mean: 19, max: 20 }, calm(2)];
    expect(spikesOf(down, 0.5)).toEqual([{ t: 1, base: 18, tip: 5 }]);
    expect(spikesOf([calm(0), { t: 1, min: 18, mean: 19, max: 21.5 }, calm(2)], 0.5)).toEqual([]);
  });

  it("is none at a step, inside a slope or all alone; at an end there is but one neighbour to judge by", () => {
    expect(spikesOf(row(10, 10, 20, 20), 0.5)).toEqual([]);
    expect(spikesOf(row(10, 12, 14, 16), 0.5).map(({ t }) => t)).toEqual([0, 3000]);
    expect(spikesOf(row(null, 12, null), 0.5)).toEqual([]);
  });
});

describe("the strip of bad readings", () => {
  it("joins neighbouring buckets of all lines, and has none where the station does not count them", () => {
    const counted = row(1, 2, 3, 4, 5).map((bucket, i) => ({ ...bucket, bad: i === 1 || i === 2 ? 3 : 0 }));
    const other = row(1, 2, 3, 4, 5).map((bucket, i) => ({ ...bucket, bad: i === 4 ? 1 : 0 }));
    const traces = [counted, other].map((buckets) => ({ buckets, staleAfterMs: 1000 }));
    expect(badStretches(traces)).toEqual([
      [1000, 3000],
      [4000, 5000],
    ]);
    expect(badStretches([{ buckets: row(1, null, 3) }])).toEqual([]);
  });
});

describe("the table that is saved", () => {
  const series = (buckets: readonly Bucket[]): Series => ({
    channel: "c",
    unit: "Cel",
    from: 0,
    to: 3000,
    buckets,
  });
  /** Fields of a table in the form of RFC 4180, section 2, read back one character after another. */
  const parsed = (text: string): string[][] => {
    const rows: string[][] = [];
    let fields: string[] = [];
    for (let rest = text; rest !== ""; ) {
      const found = /^(?:"((?:[^"]|"")*)"|([^",\r\n]*))(,|\r\n)/.exec(rest);
      if (found === null) throw new Error(`not RFC 4180: ${rest.slice(0, 40)}`);
      fields.push(found[1]?.replaceAll('""', '"') ?? found[2] ?? "");
      if (found[3] === "\r\n") {
        rows.push(fields);
        fields = [];
      }
      rest = rest.slice(found[0].length);
    }
    return rows;
  };

  it("has a header and a row for each bucket, with empty fields where there is no value", () => {
    expect(csvOf([{ name: "Coolant", series: series(row(18.25, null)) }])).toBe(
      "time,Coolant (°C) min,Coolant (°C) mean,Coolant (°C) max\r\n" +
        "1970-01-01T00:00:00.000Z,18.25,18.25,18.25\r\n" +
        "1970-01-01T00:00:01.000Z,,,\r\n",
    );
  });

  it("reads back the same whatever the channels are called", () => {
    fc.assert(
      fc.property(fc.array(fc.string({ unit: "grapheme" }), { minLength: 1, maxLength: 3 }), (names) => {
        const rows = parsed(csvOf(names.map((name) => ({ name, series: series(row(1, 2)) }))));
        expect(rows).toHaveLength(3);
        expect(rows[0]).toEqual([
          "time",
          ...names.flatMap((name) => ["min", "mean", "max"].map((of) => `${name} (°C) ${of}`)),
        ]);
      }),
    );
  });

  it("counts bad readings only where the station does, and writes no noise of a mean", () => {
    const counted = [{ t: 0, min: 1, mean: 0.1 + 0.2, max: 1, bad: 2 }];
    const rows = parsed(csvOf([{ name: "a", series: series(counted) }]));
    expect(rows[0]?.at(-1)).toBe("a (°C) bad readings");
    expect(rows[1]).toEqual(["1970-01-01T00:00:00.000Z", "1", "0.3", "1", "2"]);
  });
});

describe("marks on the axis of time", () => {
  const none: Marks = {
    runs: [],
    alarms: [],
    maintenance: [],
    clock: [],
    crowds: [],
  };
  const cleaned = (...walls: number[]) =>
    happeningsOf({
      ...none,
      maintenance: walls.map((wall, id) => ({ id, kind: "optics-cleaned", wall, note: "" })),
    });

  it("have a finger's width each inside the drawing, and none is lost", () => {
    const walls = fc.array(fc.integer({ min: 0, max: 999 }), { maxLength: 50 });
    fc.assert(
      fc.property(walls, fc.integer({ min: 52, max: 1200 }), (some, px) => {
        const clusters = clustersOf(cleaned(...some), { from: 0, to: 1000 }, px, 52);
        expect(clusters.flatMap(({ happenings }) => happenings)).toHaveLength(some.length);
        clusters.forEach(({ x }, i) => {
          expect(x).toBeGreaterThanOrEqual(26);
          expect(x).toBeLessThanOrEqual(px - 26);
          if (i > 0) expect(x - (clusters[i - 1]?.x ?? 0)).toBeGreaterThanOrEqual(52);
        });
      }),
    );
  });

  it("leave out what lies outside the span, but not a run that reaches into it", () => {
    const run = (number: number, startWall: number, endWall: number | null) => ({
      id: `run-${number}`,
      number,
      startWall,
      endWall,
      material: null,
      flagged: false,
    });
    const all = happeningsOf({
      ...none,
      runs: [run(1, 100, 200), run(2, 300, 600), run(3, 400, null), run(4, 1000, 1100)],
      maintenance: [{ id: 1, kind: "optics-cleaned", wall: 450, note: "" }],
      clock: [],
    });
    const [cluster] = clustersOf(all, { from: 500, to: 1000 }, 500, 52);
    expect(cluster?.happenings.map(({ key }) => key)).toEqual(["run-2", "run-3"]);
  });
});

describe("crowds of marks", () => {
  const marks: Marks = {
    runs: [],
    alarms: [],
    maintenance: [{ id: 1, kind: "optics-cleaned", wall: 450, note: "" }],
    clock: [],
    crowds: [
      { of: "run", from: 80, to: 120, count: 31, priority: null },
      { of: "run", from: 440, to: 470, count: 8, priority: null },
      { of: "alarm", from: 455, to: 460, count: 2, priority: "medium" },
    ],
  };

  it("are counted out in words, whether or not something stands by itself among them", () => {
    const [one, other, none] = clustersOf(happeningsOf(marks), { from: 100, to: 1100 }, 1000, 52);
    expect(countText(one?.happenings ?? [])).toBe("31 runs");
    expect(countText(other?.happenings ?? [])).toBe("8 runs, 2 alarms, maintenance once");
    expect(howMany(other?.happenings ?? [])).toBe(11);
    expect(none).toBeUndefined();
  });

  it("are drawn from their first to their last", () => {
    expect(panelMarks(happeningsOf(marks))).toEqual({
      runs: [
        [80, 120],
        [440, 470],
      ],
      alarms: [{ wall: 455, priority: "medium" }],
      maintenance: [450],
    });
  });
});

describe("the panels", () => {
  const charted = (
    id: string,
    kind: Parameters<typeof panelsOf>[0][number]["kind"],
    unit: "Cel" | "%RH" | "state",
  ) => ({
    id,
    name: id,
    kind,
    unit,
    decimals: 1,
    staleAfterMs: 10_000,
  });
  const all = [
    charted("in", "coolant-inlet", "Cel"),
    charted("lid", "lid-open", "state"),
    charted("room", "room-temperature", "Cel"),
    charted("rh", "room-humidity", "%RH"),
    charted("laser", "laser-on", "state"),
  ];

  it("are one for each unit and one for each state", () => {
    expect(panelsOf(all).map(({ channels }) => channels.map(({ id }) => id))).toEqual([
      ["in", "room"],
      ["lid"],
      ["rh"],
      ["laser"],
    ]);
  });

  it("show coolant, room and extraction first, or whatever there is", () => {
    expect(firstShown(all)).toEqual(["in", "room"]);
    expect(firstShown(all.slice(3))).toEqual(["rh"]);
    expect(firstShown([])).toEqual([]);
  });
});
