import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { defineAlarms } from "../../station/alarms/entry.js";
import { demoConfig } from "../../station/config.js";
import { unknownDisk } from "../../station/journal/disk/judge.js";
import type { JournalHealth } from "../../station/journal/health.js";
import { CONDITIONS, type ConditionId, UNITS, type Unit } from "../../station/model/quantity.js";
import { type MetricsView, metricsText } from "../../station/web/metrics.js";
import { counter, exposition, gauge, info, states } from "../../station/web/openmetrics.js";
import { disk } from "../unit/alarms/given.js";
import { emptySnapshot } from "../unit/web/snapshot.js";
import { readExposition } from "./openmetrics-rules.js";

// Source: the OpenMetrics 1.0 specification, examples of its sections "MetricFamily metadata", "Labels", "StateSet" and "Info" (see openmetrics-rules.ts).
describe("the rules, held against the specification's own examples", () => {
  it.each([
    "# TYPE foo_seconds counter\n# UNIT foo_seconds seconds\nfoo_seconds_total 17.0\n# EOF\n",
    '# TYPE foo_seconds counter\n# UNIT foo_seconds seconds\n# HELP foo_seconds Some text and \\n some \\" escaping\n# EOF',
    "# TYPE foo gauge\nfoo 17.0 1520879607.789\n# EOF\n",
    '# TYPE foo stateset\nfoo{foo="a"} 0\nfoo{foo="bb"} 1\nfoo{foo="ccc"} 0\n# EOF\n',
    '# TYPE foo info\nfoo_info{name="pretty name",version="8.2.7"} 1\n# EOF\n',
    '# TYPE foo gauge\nfoo{a="bb"} 17.0\nfoo{a="ccc"} 17.0\n# EOF\n',
  ])("takes %j", (text) => {
    expect(readExposition(text).size).toBe(1);
  });

  it.each([
    ["# TYPE foo counter\n# UNIT foo seconds\n# EOF\n", "the unit ends the name"],
    ["# TYPE foo gauge\nfoo 1\n", "ends with # EOF"],
    ["# TYPE foo gauge\nfoo 1\r\n# EOF\n", "no carriage returns"],
    ["# TYPE foo gauge\nfoo 1\n# TYPE bar gauge\nbar 1\nfoo 2\n# EOF\n", "a name that goes with"],
    ["# TYPE foo gauge\n# TYPE bar gauge\n# TYPE foo gauge\n# EOF\n", "families are not interleaved"],
    ["# TYPE foo gauge\n# TYPE foo gauge\n# EOF\n", "one line of metadata of each kind"],
    ["# a comment\n# EOF\n", "no other lines with #"],
    ['# TYPE foo gauge\nfoo{1a="x"} 1\n# EOF\n', "a sample as in the ABNF"],
    ['# TYPE foo gauge\nfoo{a="x"y"} 1\n# EOF\n', "a sample as in the ABNF"],
    ["# TYPE foo gauge\nfoo-bar 1\n# EOF\n", "a sample as in the ABNF"],
    ["# TYPE foo gauge\nfoo 0x10\n# EOF\n", "a sample as in the ABNF"],
    ["# TYPE foo counter\nfoo 1\n# EOF\n", "a name that goes with"],
    ['# TYPE foo gauge\nfoo{a="b"} 1\nfoo{a="b"} 2\n# EOF\n', "a label set of its own"],
    ['# TYPE foo stateset\nfoo{foo="a"} 0\nfoo{foo="b"} 0\n# EOF\n', "exactly one state"],
    ["# TYPE foo_s info\n# UNIT foo_s s\nfoo_s_info 1\n# EOF\n", "a info has no unit"],
  ])("refuses %j", (text, rule) => {
    expect(() => readExposition(text)).toThrow(rule);
  });
});

describe("what is written", () => {
  const anyText = fc.oneof(
    fc.string({ unit: "binary" }),
    fc.string({ unit: fc.constantFrom("\\", '"', "\n", "n", "ä", "😀", "{", "}", ",", "=") }),
  );
  /** What UTF-8 does not have, and CR, which a line end must not contain, are replaced. */
  const carried = (text: string) => Buffer.from(text.replaceAll("\r", " ")).toString();

  it("reads back, whatever the labels and the help say", () => {
    fc.assert(
      fc.property(anyText, anyText, (label, help) => {
        const families = [
          gauge("a", "celsius", help, [{ labels: { label, other: "x" }, value: 1 }]),
          info("b", help, [{ label, other: "x" }]),
        ];
        const read = readExposition(exposition(families));
        expect(read.get("a_celsius")?.help).toBe(carried(help));
        expect(read.get("a_celsius")?.unit).toBe("celsius");
        expect(read.get("b")?.samples[0]?.labels.get("label") ?? "").toBe(carried(label));
      }),
    );
  });

  it("reads back any number, to the bit", () => {
    fc.assert(
      fc.property(fc.double(), (value) => {
        const read = readExposition(exposition([gauge("a", "", "h", [{ labels: {}, value }])]));
        // The text has no negative zero.
        expect(read.get("a")?.samples[0]?.value).toBe(Object.is(value, -0) ? 0 : value);
      }),
    );
  });

  it("has its types as they must be", () => {
    const read = readExposition(
      exposition([
        counter("c", "h", 5, 1_790_000_000.5),
        states("s", "h", ["on", "off"], [{ labels: { of: "x" }, state: "off" }]),
        gauge("none", "", "h", []),
      ]),
    );
    expect([...read.keys()]).toEqual(["c", "s"]);
    expect(read.get("c")?.samples.map(({ name, value }) => [name, value])).toEqual([
      ["c_total", 5],
      ["c_created", 1_790_000_000.5],
    ]);
    expect(read.get("s")?.samples.map(({ labels, value }) => [labels.get("s"), value])).toEqual([
      ["on", 0],
      ["off", 1],
    ]);
  });
});

describe("the metrics of a station", () => {
  const { channels, coolant_range: coolantRange, alarms } = demoConfig();
  const [alarm] = defineAlarms(alarms, { channels, coolantRange });
  const good = { quality: "good", reason: null, reasonText: null, ageMs: 1500 } as const;
  const bad = { value: null, quality: "bad", reason: "stale", reasonText: "", ageMs: 60_000 } as const;
  const unread = { value: null, quality: "bad", reason: "never-read", reasonText: "", ageMs: null } as const;
  const shape = { decimals: 1, simulated: true, staleAfterMs: 6000 };

  function view(changes: Partial<MetricsView> = {}): MetricsView {
    const now = emptySnapshot({
      stationName: 'The "back" shed\\',
      clock: "not synchronised",
      channels: [
        { ...good, ...shape, value: 18.5, id: "in", name: "In", kind: "coolant-inlet", unit: "Cel" },
        { ...bad, ...shape, id: "room", name: "Room", kind: "room-temperature", unit: "Cel" },
        { ...unread, ...shape, id: "lid", name: "Lid", kind: "lid-open", unit: "state" },
        { ...good, ...shape, value: 1, id: "fan", name: "Fan", kind: "extraction-running", unit: "state" },
      ],
      conditions: [{ ...good, value: 9.25, id: "dew-point", label: "Dew point", unit: "Cel" }],
      alarms: [
        {
          ...(alarm as NonNullable<typeof alarm>),
          ...{ firstOut: false, chattering: false, recurring: false, stale: false },
          alarm: alarm?.id ?? "",
          state: "acknowledged",
          raisedWall: 0,
          detail: "",
        },
      ],
    });
    const journal: JournalHealth = {
      ...{ writing: false, held: true, waiting: 12, dropped: 3, lastCommitMono: null, slow: false, text: "" },
      commits: { medianMs: 12, longestMs: 5300, slow: 1, commits: 40 },
      wal: { bytes: 4_120_032, pagesWaiting: 7 },
    };
    const all = defineAlarms(alarms, { channels, coolantRange });
    return {
      version: "0.1.0",
      startedWall: 1_790_000_000_000,
      now,
      alarms: all,
      journal,
      disk: disk(),
      lastBackupWall: null,
      secretsHashed: 3,
      ...changes,
    };
  }
  const samples = (text: string, family: string) =>
    (readExposition(text).get(family)?.samples ?? []).map(({ labels, value }) => [...labels.values(), value]);

  it("say how much room the disk has and how long it takes, and leave out what is not known", () => {
    const of = (text: string) => (family: string) => samples(text, family);
    const known = of(metricsText(view()));
    expect(known("station_disk_free_bytes")).toEqual([[20e9]]);
    expect(known("station_disk_left_seconds")).toEqual([[40_000 * 86_400]]);
    expect(known("station_journal_size_bytes")).toEqual([[50e6]]);
    expect(known("station_journal_wal_size_bytes")).toEqual([[4_120_032]]);
    expect(known("station_journal_wal_waiting_pages")).toEqual([[7]]);
    expect(known("station_journal_commit_median_seconds")).toEqual([[0.012]]);
    expect(known("station_journal_commit_longest_seconds")).toEqual([[5.3]]);
    expect(known("station_journal_readings_held")).toEqual([[1]]);
    const unknown = of(metricsText(view({ disk: unknownDisk(null) })));
    expect(unknown("station_disk_free_bytes")).toEqual([]);
    expect(unknown("station_disk_left_seconds")).toEqual([]);
  });

  it("are the latest values by channel in their units, with quality and age; none that is not known", () => {
    const text = metricsText(view());
    expect(samples(text, "station_channel_celsius")).toEqual([["in", 18.5]]);
    expect(samples(text, "station_channel_on")).toEqual([["fan", 1]]);
    expect(samples(text, "station_condition_celsius")).toEqual([["dew-point", 9.25]]);
    expect(samples(text, "station_channel_age_seconds")).toEqual([
      ["in", 1.5],
      ["room", 60],
      ["fan", 1.5],
    ]);
    const quality = samples(text, "station_channel_quality").filter(([, , value]) => value === 1);
    expect(quality.map(([channel, word]) => `${channel} ${word}`)).toEqual([
      "in good",
      "room bad",
      "lid bad",
      "fan good",
    ]);
    expect(readExposition(text).get("station_channel_celsius")?.unit).toBe("celsius");
    expect(readExposition(text).get("station")?.samples[0]?.labels.get("name")).toBe('The "back" shed\\');
  });

  it("are the state of every alarm that is set, whether it stands or not, and the health of the journal", () => {
    const text = metricsText(view());
    const on = samples(text, "station_alarm").filter(([, , , value]) => value === 1);
    expect(on).toHaveLength(view().alarms.length);
    expect(on[0]).toEqual([alarm?.id, alarm?.priority, "acknowledged", 1]);
    expect(new Set(on.slice(1).map(([, , state]) => state))).toEqual(new Set(["normal"]));
    expect(samples(text, "station_journal_writing")).toEqual([[0]]);
    expect(samples(text, "station_journal_waiting_readings")).toEqual([[12]]);
    expect(samples(text, "station_journal_dropped_readings")).toEqual([[3], [1_790_000_000]]);
    expect(samples(text, "station_backup_last_good_timestamp_seconds")).toEqual([]);
    const later = metricsText(view({ lastBackupWall: 1_790_000_001_000 }));
    expect(samples(later, "station_backup_last_good_timestamp_seconds")).toEqual([[1_790_000_001]]);
  });

  it("are within the rules for every unit and condition there is", () => {
    const units = Object.keys(UNITS) as Unit[];
    const now = emptySnapshot({
      channels: units.map((unit, i) => {
        return { ...good, ...shape, value: i, id: `c${i}`, name: unit, kind: "coolant-inlet", unit };
      }),
      conditions: (Object.keys(CONDITIONS) as ConditionId[]).map((id) => {
        return { ...good, value: 1, id, label: CONDITIONS[id].label, unit: CONDITIONS[id].unit };
      }),
    });
    const read = readExposition(metricsText(view({ now })));
    const valued = [...read].filter(([name]) => /^station_channel_(?!quality|age)/.test(name));
    expect(valued).toHaveLength(units.length);
    expect(readExposition(metricsText(view({ now: emptySnapshot(), alarms: [] }))).size).toBeGreaterThan(4);
  });
});
