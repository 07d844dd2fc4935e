import { describe, expect, it } from "vitest";
import { messageIdOf } from "../../../station/outward/wording.js";
import { type Change, judgeAlarms, judgeGrowth, judgeOutward, judgeRuns, judgeVerified } from "./judge.js";
import { Machine } from "./life.js";
import type { KeptNotice, KeptRun } from "./look.js";
import type { SoakPlan } from "./plan.js";
import type { Receipt } from "./servers.js";
import type { Climb } from "./truth.js";

/** A soak of some hours in which the probe came off once, told and answered as it should be. */
const plan: SoakPlan = {
  ...{ days: 1, jobs: [], blows: [], quiet: { fromS: 0, toS: 1 } },
  troubles: [{ trouble: "probe-off", fromS: 5000, toS: 6000 }],
};
const lives = [{ fromS: 0, toS: 20_000 }];
const change = (
  id: string,
  atS: number,
  transition: string,
  to: string,
  more: Partial<Change> = {},
): Change => ({
  ...{ id, alarm: "sensor-dead:coolant-in", priority: "high", transition, to, atS, detail: "no value" },
  ...more,
});
const good = [
  change("1", 5014, "raised", "unacknowledged"),
  change("2", 5060, "acknowledged", "acknowledged"),
  change("3", 6015, "returned-to-normal", "normal"),
];
const alarmsOf = (changes: readonly Change[], there = lives, its = plan, climbs: readonly Climb[] = []) =>
  judgeAlarms(changes, { plan: its, truth: { tooWarm: [], climbs }, endS: 20_000 }, there).wrong;

describe("the judge of the alarms", () => {
  it("finds nothing wrong with a trouble that was told, answered and is over", () => {
    expect(alarmsOf(good)).toEqual([]);
  });
  it("finds one that was not told, or too late", () => {
    expect(alarmsOf([])).toEqual(["probe-off at 5000 s: not told by 5030 s"]);
    expect(alarmsOf([change("1", 5040, "raised", "unacknowledged"), ...good.slice(1)])).toContain(
      "probe-off at 5000 s: not told by 5030 s",
    );
  });
  it("finds one that was not told after a start in the middle of it, and lets one pass that the station could not see", () => {
    const [before, after] = [
      { fromS: 0, toS: 4990 },
      { fromS: 5400, toS: 20_000 },
    ];
    expect(alarmsOf([], [before, after])).toEqual(["probe-off at 5000 s: not told by 5490 s"]);
    expect(alarmsOf([], [before, { fromS: 6500, toS: 20_000 }])).toEqual([]);
  });
  it("finds one that was told twice", () => {
    const again = [
      change("4", 5900, "raised", "unacknowledged"),
      change("5", 6015, "returned-to-normal", "normal"),
    ];
    expect(
      alarmsOf([...good.slice(0, 2), change("3", 5800, "returned-to-normal", "normal"), ...again]),
    ).toEqual(["probe-off at 5000 s: sensor-dead:coolant-in was raised 2 times (at 5014, 5900 s)"]);
  });
  it("finds one that does not end", () => {
    expect(alarmsOf(good.slice(0, 2))).toEqual([
      "probe-off at 5000 s: sensor-dead:coolant-in is acknowledged 2400 s after it was over",
      "sensor-dead:coolant-in is acknowledged at the end",
    ]);
  });
  it("finds one of nothing", () => {
    const other = { alarm: "coolant-high" };
    const falsely = [
      change("8", 9000, "raised", "unacknowledged", other),
      change("9", 9100, "returned-to-normal", "normal", other),
    ];
    expect(alarmsOf([...good, ...falsely])).toEqual([
      "coolant-high was raised at 9000 s of nothing: no value",
    ]);
  });
  it("lets a climb be told that is true and whose like the station cannot have seen yet, and no other", () => {
    const told = (atS: number) => [
      ...good,
      change("8", atS, "raised", "unacknowledged", { alarm: "coolant-rising" }),
      change("9", atS + 300, "returned-to-normal", "normal", { alarm: "coolant-rising" }),
    ];
    const started = [{ fromS: 8000, toS: 20_000 }];
    const climbs = [{ fromS: 8060, toS: 8130 }];
    const there = [{ fromS: 0, toS: 7000 }, ...started];
    expect(alarmsOf(told(8130), there, plan, climbs)).toEqual([]);
    const ofNothing = (atS: number) => [`coolant-rising was raised at ${atS} s of nothing: no value`];
    expect(alarmsOf(told(8130), there, plan, [])).toEqual(ofNothing(8130));
    expect(alarmsOf(told(8200), there, plan, climbs)).toEqual(ofNothing(8200));
    expect(alarmsOf(told(8130), lives, plan, climbs)).toEqual(ofNothing(8130));
  });
});

const notices: KeptNotice[] = [
  ...["1", "2", "3"].flatMap((id) =>
    ["mqtt", "webhook"].map((way) => ({ key: `${way}:${id}`, way, state: "sent", message: null })),
  ),
  { key: "mail:1", way: "mail", state: "sent", message: "mail:1" },
];
const receipts: Receipt[] = [
  ...["1", "2", "3"].flatMap((id) =>
    (["mqtt", "webhook"] as const).map((way) => ({ way, key: `${way}:${id}`, atS: 5100 })),
  ),
  { way: "mail", key: messageIdOf("mail:1", "shop.example"), atS: 5100 },
];
const outward = (its: readonly KeptNotice[], arrived: readonly Receipt[], cutOffs: readonly number[] = []) =>
  judgeOutward(good, its, arrived, cutOffs, ["mail", "mqtt", "webhook"]).wrong;

describe("the judge of what is told outward", () => {
  it("finds nothing wrong where each arrived once", () => {
    expect(outward(notices, receipts)).toEqual([]);
  });
  it("finds one without a notice, one that was given up, and one that never arrived", () => {
    expect(outward(notices.slice(2), receipts)).toEqual([
      "sensor-dead:coolant-in raised at 5014 s by mqtt: there is no notice of it",
      "sensor-dead:coolant-in raised at 5014 s by webhook: there is no notice of it",
    ]);
    const given = notices.map((notice) =>
      notice.key === "mail:1" ? { ...notice, state: "given-up" } : notice,
    );
    expect(outward(given, receipts)).toEqual(["sensor-dead:coolant-in raised at 5014 s by mail: given-up"]);
    expect(outward(notices, receipts.slice(2))).toEqual([
      "sensor-dead:coolant-in raised at 5014 s by mqtt: counts as sent and never arrived",
      "sensor-dead:coolant-in raised at 5014 s by webhook: counts as sent and never arrived",
    ]);
  });
  it("finds one that arrived twice, unless something was cut off between", () => {
    const twice = [...receipts, { way: "webhook" as const, key: "webhook:1", atS: 5300 }];
    expect(outward(notices, twice)).toEqual([
      "webhook webhook:1 arrived twice, at 5100 and 5300 s, and nothing was cut off between",
    ]);
    expect(outward(notices, twice, [5200])).toEqual([]);
    expect(outward(notices, [...receipts, { way: "mqtt", key: "mqtt:1", atS: 5300 }])).toEqual([]);
  });
});

describe("the judge of the runs", () => {
  const machine = new Machine(0, { args: [], cwd: "", through: [] });
  machine.lives.push({
    ...{ boot: machine.boot, fromS: 0, toS: 20_000, heldFromS: null, openedMs: 1 },
    ...{ lines: [], bytesRead: 0, stopped: true },
  });
  const run = (changes: Partial<KeptRun> = {}): KeptRun => ({
    ...{ number: 1, bootId: machine.boot.id, startMono: machine.monoAt(8000), endMono: machine.monoAt(8300) },
    ...{ endCause: "laser-on", settings: {}, coolant: { known: true, mean: 18.02, min: 17.5, max: 18.6 } },
    ...changes,
  });
  const judged = (runs: readonly KeptRun[]) =>
    judgeRuns(runs, [{ fromS: 8000, toS: 8300, meanC: 18 }], { machine, plan }).wrong;

  it("finds a cut without its run, one with two, one at another time, and a stamp that the water was not like", () => {
    expect(judged([run()])).toEqual([]);
    expect(judged([])).toEqual(["the cut from 8000 to 8300 s: 0 runs"]);
    expect(judged([run(), run({ number: 2 })])).toEqual(["the cut from 8000 to 8300 s: 2 runs"]);
    expect(judged([run({ startMono: machine.monoAt(8100) })])).toEqual([
      "the cut from 8000 to 8300 s: its run is from 8100 to 8300 s",
    ]);
    expect(judged([run({ coolant: { known: true, mean: 18.3, min: 18, max: 19 } })])).toEqual([
      "the cut from 8000 to 8300 s: its stamp says 18.30 °C where the water had 18.00",
    ]);
  });
});

describe("the judge of what verify says", () => {
  const boots = [{ id: "boot", zeroS: 0 }];
  const life = {
    boot: { id: "boot", zeroS: 0 },
    fromS: 0,
    toS: 9000,
    heldFromS: null,
    openedMs: 1,
    lines: [],
    bytesRead: 0,
    stopped: false,
  };
  const run: KeptRun = {
    ...{
      number: 7,
      bootId: "boot",
      startMono: 8_000_000,
      endMono: 8_300_000,
      endCause: "laser-on",
      settings: {},
    },
    coolant: { known: true, mean: 18, min: 18, max: 18 },
  };
  const report = { runs: 1, agree: 1, doubtful: [], unkept: [], damage: null, ms: 1 };
  const doubt = { ...report, agree: 0, doubtful: [{ number: 7, differences: [{ path: "x" }] }] };
  const unkept = { ...report, agree: 0, unkept: [{ number: 7 }] };

  it("finds damage, a stamp that differs, and one whose readings are gone, unless they were held and went with a kill", () => {
    expect(judgeVerified([report], [run], { boots, lives: [life] }).wrong).toEqual([]);
    expect(judgeVerified([{ ...report, damage: "a block" }], [run], { boots, lives: [life] }).wrong).toEqual([
      "verify: a block",
    ]);
    expect(judgeVerified([doubt], [run], { boots, lives: [life] }).wrong).toEqual([
      'verify: the stamp of run 7: [{"path":"x"}]',
    ]);
    expect(judgeVerified([unkept], [run], { boots, lives: [life] }).wrong).toEqual([
      "verify: the readings of run 7, ended at 8300 s, were never kept",
    ]);
    const held = { ...life, heldFromS: 8100 };
    expect(judgeVerified([unkept], [run], { boots, lives: [held] })).toEqual({ wrong: [], excused: 1 });
    expect(judgeVerified([doubt], [run], { boots, lives: [held] }).wrong).toHaveLength(1);
  });
});

describe("the judge of what a start holds", () => {
  const measured = {
    heapUsed: 3e7,
    external: 3e6,
    rss: 1e8,
    handles: 8,
    files: 45,
    threads: 3,
    timers: 12,
    atS: 1,
  };
  it("finds memory, files and timers that grow, and that nothing was measured", () => {
    expect(judgeGrowth([measured, measured]).wrong).toEqual([]);
    expect(judgeGrowth([measured]).wrong).toEqual(["memory was not measured twice"]);
    expect(judgeGrowth([measured, { ...measured, heapUsed: 3.3e7 }]).wrong).toEqual([
      "the heap has grown by 3.00 MB",
    ]);
    expect(judgeGrowth([measured, { ...measured, files: 60, timers: 40 }]).wrong).toEqual([
      "files: 45 at first, 60 at last",
      "timers: 12 at first, 40 at last",
    ]);
  });
});
