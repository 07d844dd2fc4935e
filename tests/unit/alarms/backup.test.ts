import { describe, expect, it } from "vitest";
import { createAlarmDesk } from "../../../station/alarms/desk.js";
import { type AlarmsEntry, defineAlarms } from "../../../station/alarms/entry.js";
import type { BackupsState } from "../../../station/model/backup.js";
import type { ClockState } from "../../../station/model/instant.js";
import { at, observed, picture, RANGE } from "./given.js";

const DAY_S = 86_400;
const define = (entry: AlarmsEntry = {}) =>
  defineAlarms(entry, { channels: [], coolantRange: RANGE, backups: true });
const NOW = 10 * DAY_S;

/** The last good one was made so many days before now; null for none. */
function made(days: number | null, changes: Partial<BackupsState> = {}): BackupsState {
  return {
    looked: true,
    lastGoodWall: days === null ? null : at(NOW - days * DAY_S).wall,
    trouble: null,
    ...changes,
  };
}

function seen(backups: BackupsState, clock: ClockState = "synchronised", entry: AlarmsEntry = {}) {
  return observed(define(entry), "backup-old", [picture(NOW, { backups, clock })]);
}

describe("the alarm of an old backup", () => {
  it("is there only where backups are set up, and is a low one", () => {
    const without = defineAlarms({}, { channels: [], coolantRange: RANGE });
    expect(without.some(({ kind }) => kind === "backup-old")).toBe(false);
    expect(define().find(({ kind }) => kind === "backup-old")).toMatchObject({
      priority: "low",
      setpoint: 3,
    });
  });

  it("comes once the last good one is more than three days old, or what was set", () => {
    expect(seen(made(3))).toMatchObject({ presence: "absent", value: 3 });
    expect(seen(made(3.01))).toMatchObject({
      presence: "present",
      detail: "The last good backup was made 3 days ago",
    });
    expect(seen(made(5), "synchronised", { "backup-old": { setpoint: 7 } }).presence).toBe("absent");
    expect(seen(made(0.5)).detail).toBe("The last good backup was made less than a day ago");
  });

  it("says what stands in the way", () => {
    const trouble = "/mnt/backup is not there: is the drive mounted? Make the folder once.";
    expect(seen(made(4, { trouble })).detail).toBe(
      "The last good backup was made 4 days ago: /mnt/backup is not there: is the drive mounted? Make the folder once",
    );
    expect(seen(made(null, { trouble }))).toMatchObject({ presence: "present" });
    // The last attempt failed, and the one before is good enough still.
    expect(seen(made(1, { trouble })).presence).toBe("absent");
  });

  it("gives a first backup its day", () => {
    const none = { backups: made(null) };
    const presenceAfter = (seconds: number) =>
      observed(define(), "backup-old", [picture(0, none), picture(seconds, none)]).presence;
    expect(presenceAfter(DAY_S)).toBe("absent");
    expect(presenceAfter(DAY_S + 1)).toBe("present");
  });

  it("does not go by a clock that nobody has set, nor before the folder was looked into", () => {
    expect(seen(made(9), "not synchronised").presence).toBe("unknown");
    expect(seen(made(9), "unknown").presence).toBe("present");
    expect(seen(made(-2)).presence).toBe("unknown");
    expect(seen(made(null, { looked: false })).presence).toBe("unknown");
  });

  it("rises after its delay, and returns by itself once a good one is made", () => {
    const desk = createAlarmDesk(define(), { startId: "s" });
    const look = (seconds: number, days: number) =>
      desk.update(
        picture(NOW + seconds, {
          backups: { ...made(null), lastGoodWall: at(NOW + seconds - days * DAY_S).wall },
        }),
      );
    expect(look(0, 4)).toEqual([]);
    expect(look(299, 4)).toEqual([]);
    expect(look(301, 4)).toMatchObject([{ alarm: "backup-old", transition: "raised", priority: "low" }]);
    expect(look(400, 0)).toMatchObject([{ alarm: "backup-old", transition: "returned" }]);
  });
});
