import { describe, expect, it } from "vitest";
import { createAlarmDesk } from "../../../station/alarms/desk.js";
import { defineAlarms } from "../../../station/alarms/entry.js";
import type { AlarmTransition } from "../../../station/model/alarm.js";
import { channel, faulty, good, picture, RANGE } from "./given.js";

const words = (transitions: readonly AlarmTransition[]) =>
  transitions.map(({ mono, alarm, transition }) => `${mono / 1000} ${alarm} ${transition}`);

describe("a coolant probe that answers only now and then", () => {
  const every2s = channel("coolant", "coolant-inlet", 7);
  const few = () =>
    createAlarmDesk(defineAlarms({}, { channels: [every2s], coolantRange: RANGE }), { startId: "s" });

  /** A read every 2 s and a look every half second, for as long as is said; "+" is a good read and "-" a failed one. */
  function turns(
    desk: ReturnType<typeof few>,
    pattern: string,
    from: number,
    to: number,
    coolant: (seconds: number) => number,
  ) {
    const transitions: AlarmTransition[] = [];
    for (let s = from; s <= to; s += 0.5) {
      const read = Math.floor(s / 2);
      const ok = pattern[read % pattern.length] === "+";
      const shown = ok ? good(every2s, coolant(read * 2), read * 2) : faulty(every2s, "crc-failed", read * 2);
      transitions.push(...desk.update(picture(s, { channels: [shown] })));
    }
    return transitions;
  }
  /** From 30 to 90 °C in an hour. */
  const climbing = (seconds: number) => 30 + seconds / 60;

  it.each(["+-", "-+", "++-", "+--"])("silences neither the coolant nor itself: %s", (pattern) => {
    const desk = few();
    const told = turns(desk, pattern, 0, 3600, climbing);
    const changes = told.filter(({ transition }) => transition !== "chattering");
    expect(changes.map(({ alarm, transition }) => `${alarm} ${transition}`).toSorted()).toEqual([
      "coolant-high raised",
      "sensor-dead:coolant raised",
    ]);
    for (const { mono } of told) expect(mono).toBeLessThan(30_000);
    expect(desk.standing().find(({ kind }) => kind === "sensor-dead")?.detail).toMatch(
      /^Coolant in answers only now and then: \d+ of the last 15 readings were bad \(its checksum was wrong\)$/,
    );
  });

  it("lets the coolant's alarm return on what it has seen, and its own when it has been good for half a minute", () => {
    const desk = few();
    turns(desk, "+-", 0, 60, () => 30);
    const back = turns(desk, "+-", 60.5, 119.5, () => 20);
    expect(words(back)).toEqual(["80.5 coolant-high returned"]);
    expect(words(turns(desk, "+", 120, 300, () => 20))).toEqual(["151 sensor-dead:coolant returned"]);
  });

  it("does not raise the coolant's alarm while the coolant is in range", () => {
    const told = turns(few(), "+-", 0, 3600, () => 20);
    expect(told.map(({ alarm }) => alarm)).toEqual(["sensor-dead:coolant"]);
  });
});
