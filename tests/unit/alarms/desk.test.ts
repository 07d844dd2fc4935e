import { describe, expect, it } from "vitest";
import { createAlarmDesk } from "../../../station/alarms/desk.js";
import { defineAlarms } from "../../../station/alarms/entry.js";
import { codeOf, flowing, hold, inlet, newDesk, RUN, room, scene, states, words } from "./desk-scenes.js";
import { at, faulty, good, picture, RANGE } from "./given.js";

describe("the alarm desk", () => {
  it("tells of each change once, with its time, run and an id of its own", () => {
    const desk = newDesk();
    expect(desk.update(scene(0, 23.4, 1, RUN))).toEqual([]);
    const [raised, ...more] = hold(desk, 1, 8, 23.4, 1, RUN);
    expect(more).toEqual([]);
    expect(raised).toEqual({
      id: "start-a-1",
      alarm: "coolant-high",
      kind: "coolant-high",
      title: "Coolant is too warm",
      priority: "high",
      transition: "raised",
      from: "normal",
      to: "unacknowledged",
      wall: at(5).wall,
      mono: 5000,
      detail: "Coolant in is 23.4 °C, above 22.0 °C",
      run: "run-7",
      by: null,
    });
  });

  it("goes through a whole life of an alarm", () => {
    const desk = newDesk();
    expect(words(hold(desk, 0, 9, 23, 1))).toEqual(["5 coolant-high raised"]);
    expect(words([desk.acknowledge("coolant-high", "wall screen", at(9.5), null)])).toEqual([
      "9.5 coolant-high acknowledged",
    ]);
    expect(words(hold(desk, 10, 30, 21, 1))).toEqual(["20 coolant-high returned-to-normal"]);
    expect(desk.standing()).toEqual([]);
  });

  it("puts the most urgent first, then the unacknowledged, then the oldest", () => {
    const desk = newDesk();
    hold(desk, 0, 9, 23, 1);
    desk.acknowledge("coolant-high", "wall screen", at(9), null);
    const dark = (s: number) =>
      picture(s, {
        channels: [good(inlet, 23, s), good(flowing, 0, s), faulty(room, "missing", s)],
        journal: { writing: false, held: false, slow: false, text: "Disk full" },
      });
    for (let s = 10; s <= 20; s += 1) desk.update(dark(s));
    expect(states(desk)).toEqual([
      "coolant-flow-lost unacknowledged",
      "journal-not-writing unacknowledged",
      "coolant-high acknowledged",
      "sensor-dead:room unacknowledged",
    ]);
    expect(desk.standing()[0]).toMatchObject({
      raisedWall: at(12).wall,
      detail: "Coolant flow switch says the coolant is not flowing",
      action: expect.stringContaining("pump"),
    });
  });

  it("orders by age though the wall clock was set back between two raisings", () => {
    const desk = createAlarmDesk(defineAlarms({}, { channels: [inlet, room], coolantRange: RANGE }), {
      startId: "s",
    });
    const set = (s: number, wall: number, writing: boolean) =>
      desk.update(
        picture(s, {
          now: at(s, wall),
          channels: [good(inlet, 23, s), good(room, 21, s)],
          journal: { writing, held: false, slow: false, text: "Disk full" },
        }),
      );
    for (let s = 0; s <= 6; s += 1) set(s, 2_000_000_000_000, true);
    for (let s = 7; s <= 13; s += 1) set(s, 1_000, false);
    expect(desk.standing().map(({ alarm }) => alarm)).toEqual(["coolant-high", "journal-not-writing"]);
  });

  it("keeps showing the latest number while the condition stands, and the last one after it has gone", () => {
    const desk = newDesk();
    hold(desk, 0, 6, 23, 1);
    hold(desk, 7, 8, 24.5, 1);
    expect(desk.standing()[0]?.detail).toBe("Coolant in is 24.5 °C, above 22.0 °C");
    hold(desk, 9, 25, 21, 1);
    expect(desk.standing()[0]).toMatchObject({
      state: "returned-unacknowledged",
      detail: "Coolant in is 24.5 °C, above 22.0 °C",
    });
  });

  it("refuses to acknowledge what is not there, not standing or done already", () => {
    const desk = newDesk();
    expect(codeOf(() => desk.acknowledge("coolant-hot", "wall screen", at(0), null))).toBe("alarm-unknown");
    expect(codeOf(() => desk.acknowledge("coolant-high", "wall screen", at(0), null))).toBe(
      "alarm-not-standing",
    );
    hold(desk, 0, 6, 23, 1);
    const done = desk.acknowledge("coolant-high", "phone", at(7), "run-7");
    expect(done).toMatchObject({
      by: "phone",
      run: "run-7",
      from: "unacknowledged",
      to: "acknowledged",
      mono: 7000,
    });
    expect(codeOf(() => desk.acknowledge("coolant-high", "wall screen", at(8), null))).toBe(
      "alarm-already-acknowledged",
    );
    hold(desk, 8, 30, 20, 1);
    expect(codeOf(() => desk.acknowledge("coolant-high", "wall screen", at(31), null))).toBe(
      "alarm-not-standing",
    );
  });
});

describe("what is sounded", () => {
  it("is the highest priority that nobody has acknowledged", () => {
    const desk = newDesk();
    expect(desk.annunciation()).toBeNull();
    hold(desk, 0, 6, 23, 0);
    expect(desk.annunciation()).toBe("urgent");
    desk.acknowledge("coolant-flow-lost", "wall screen", at(7), null);
    expect(desk.annunciation()).toBe("high");
    desk.acknowledge("coolant-high", "wall screen", at(8), null);
    expect(desk.annunciation()).toBeNull();
  });

  it("falls silent when an alarm returns, but the pin waits for a person", () => {
    const desk = newDesk();
    hold(desk, 0, 3, 20, 0);
    expect([desk.annunciation(), desk.pinWanted()]).toEqual(["urgent", true]);
    hold(desk, 4, 20, 20, 1);
    expect(states(desk)).toEqual(["coolant-flow-lost returned-unacknowledged"]);
    expect([desk.annunciation(), desk.pinWanted()]).toEqual([null, true]);
    desk.acknowledge("coolant-flow-lost", "wall screen", at(21), null);
    expect(desk.pinWanted()).toBe(false);
  });

  it("leaves the pin alone for anything less than urgent", () => {
    const desk = newDesk();
    hold(desk, 0, 6, 23, 1);
    expect([desk.annunciation(), desk.pinWanted()]).toEqual(["high", false]);
  });
});
