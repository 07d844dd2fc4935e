import { expect, it } from "vitest";
import { createAlarms } from "../../../station/alarms/alarms.js";
import { defineAlarms } from "../../../station/alarms/entry.js";
import { type RecalledAlarms, SHELF_PATH } from "../../../station/alarms/kept.js";
import type { SettingChange } from "../../../station/journal/journal.js";
import type { AlarmTransition } from "../../../station/model/alarm.js";
import { flowing, inlet, room } from "./desk-scenes.js";
import { at, RANGE } from "./given.js";

const MINUTE = 60_000;
const ALARM = "coolant-high";

function rig() {
  const shelves: (SettingChange & { path: string })[] = [];
  const alarms = createAlarms({
    fromFile: defineAlarms({}, { channels: [inlet, flowing, room], coolantRange: RANGE }),
    startId: "start-b",
    clock: { now: () => at(30), bootId: "b", state: () => "synchronised" },
    leastDiskMb: 0,
    pin: null,
    journal: {
      alarmTransition: () => Promise.resolve(),
      settingChanged: async (change) => {
        if (change.path === SHELF_PATH) shelves.push(change);
      },
    },
    settingChanges: () => Promise.reject(new Error("not asked here")),
    figures: () => Promise.reject(new Error("not asked here")),
    ...{ run: () => null, tell: () => {}, tellOutward: () => {}, log: () => {} },
    failed: (error) => {
      throw error;
    },
  });
  return { alarms, shelves };
}

const shelved: AlarmTransition = {
  ...{ id: "start-a-9", alarm: ALARM, kind: "coolant-high", title: "", priority: "high" },
  ...{ transition: "shelved", from: "unacknowledged", to: "shelved", detail: "old reason" },
  ...{ wall: 1, mono: 1, run: null, by: "phone" },
};
const since = { wall: 1, mono: null };
type KeptShelf = RecalledAlarms["shelves"] extends ReadonlyMap<string, infer Shelf> ? Shelf : never;
const old = { by: "phone", reason: "old reason" } as KeptShelf;
const recalled: RecalledAlarms = {
  settings: new Map(),
  takenUp: new Map([
    [ALARM, { by: "phone", reason: "old reason", since, latestEndWall: null, shelvedUntil: 90 * MINUTE }],
  ]),
  shelves: new Map([[ALARM, old]]),
};
const shelfNow = ({ alarms }: ReturnType<typeof rig>) =>
  alarms.desk.suppressed().find(({ alarm }) => alarm === ALARM)?.reason ?? null;

it.each([
  ["at the start", false],
  ["late", true],
] as const)("a shelf that is told of %s goes on, and is kept as it goes on", (_, late) => {
  const bench = rig();
  bench.alarms.takeUp([shelved], recalled, late);
  expect(shelfNow(bench)).toBe("old reason");
  expect(bench.shelves.map(({ new: kept }) => kept)).toEqual([old]);
});

it("an alarm that was shelved anew before the journal answered keeps its new shelf, here and at the next start", async () => {
  const bench = rig();
  await bench.alarms.shelve(ALARM, { by: "wall", minutes: 15, reason: "new reason" });
  bench.alarms.takeUp([shelved], recalled, true);
  expect(shelfNow(bench)).toBe("new reason");
  // The last that was kept is what the next start goes by.
  expect(bench.shelves).toHaveLength(1);
  expect(bench.shelves[0]?.new).toMatchObject({ reason: "new reason" });
});

it("and one that was taken off the shelf again stays off", async () => {
  const bench = rig();
  await bench.alarms.shelve(ALARM, { by: "wall", minutes: 15, reason: "new reason" });
  await bench.alarms.unshelve(ALARM, "wall");
  bench.alarms.takeUp([shelved], recalled, true);
  expect(shelfNow(bench)).toBeNull();
  expect(bench.shelves.map(({ new: kept }) => kept)).not.toContain(old);
});
