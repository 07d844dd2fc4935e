import { describe, expect, it } from "vitest";
import { createAlarmDesk } from "../../../station/alarms/desk.js";
import { defineAlarms } from "../../../station/alarms/entry.js";
import { AppError } from "../../../station/errors.js";
import type { AlarmTransition } from "../../../station/model/alarm.js";
import { at, channel, faulty, good, picture, RANGE } from "./given.js";

const inlet = channel("coolant", "coolant-inlet");
const flowing = channel("flowing", "coolant-flowing");
const room = channel("room", "room-temperature");
const definitions = defineAlarms({}, { channels: [inlet, flowing, room], coolantRange: RANGE });
const RUN = { id: "run-7", startMono: 0 };

const newDesk = (startId = "start-a") => createAlarmDesk(definitions, { startId });
type Desk = ReturnType<typeof newDesk>;

const scene = (seconds: number, coolant: number, flow: 0 | 1, run: typeof RUN | null = null) =>
  picture(seconds, {
    run,
    channels: [good(inlet, coolant, seconds), good(flowing, flow, seconds), good(room, 21, seconds)],
  });

/** Shows the same scene every second and collects what changed. */
function hold(
  desk: Desk,
  from: number,
  to: number,
  coolant: number,
  flow: 0 | 1,
  run: typeof RUN | null = null,
) {
  const transitions: AlarmTransition[] = [];
  for (let s = from; s <= to; s += 1) transitions.push(...desk.update(scene(s, coolant, flow, run)));
  return transitions;
}
const words = (transitions: readonly AlarmTransition[]) =>
  transitions.map(({ mono, alarm, transition }) => `${mono / 1000} ${alarm} ${transition}`);
const states = (desk: Desk) => desk.standing().map(({ alarm, state }) => `${alarm} ${state}`);
const codeOf = (act: () => unknown) => {
  try {
    act();
  } catch (error) {
    return error instanceof AppError ? error.code : error;
  }
  return "nothing thrown";
};

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
        journal: { writing: false, text: "Disk full" },
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
          journal: { writing, text: "Disk full" },
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
    hold(desk, 4, 10, 20, 1);
    expect(states(desk)).toEqual(["coolant-flow-lost returned-unacknowledged"]);
    expect([desk.annunciation(), desk.pinWanted()]).toEqual([null, true]);
    desk.acknowledge("coolant-flow-lost", "wall screen", at(11), null);
    expect(desk.pinWanted()).toBe(false);
  });

  it("leaves the pin alone for anything less than urgent", () => {
    const desk = newDesk();
    hold(desk, 0, 6, 23, 1);
    expect([desk.annunciation(), desk.pinWanted()]).toEqual(["high", false]);
  });
});

describe("after a restart", () => {
  const lastEvening = () => {
    const desk = newDesk();
    const told = hold(desk, 0, 6, 23, 0);
    told.push(desk.acknowledge("coolant-high", "wall screen", at(7), null));
    return told;
  };

  it("an acknowledged alarm is not sounded again and an unacknowledged one still is", () => {
    const desk = newDesk("start-b");
    desk.restore(lastEvening());
    expect(states(desk)).toEqual(["coolant-flow-lost unacknowledged", "coolant-high acknowledged"]);
    expect(desk.annunciation()).toBe("urgent");
    expect(desk.standing()[1]).toMatchObject({
      raisedWall: at(5).wall,
      detail: "Coolant in is 23.0 °C, above 22.0 °C",
    });
    expect(hold(desk, 0, 60, 23, 0)).toEqual([]);
  });

  it("what is told late does not touch an alarm that has risen since", () => {
    const desk = newDesk("start-b");
    hold(desk, 0, 6, 23, 1);
    expect(states(desk)).toEqual(["coolant-high unacknowledged"]);
    desk.restoreResting(lastEvening());
    expect(states(desk)).toEqual(["coolant-flow-lost unacknowledged", "coolant-high unacknowledged"]);
  });

  it("a restored alarm stands until its sensor has been read, and then goes its way", () => {
    const desk = newDesk("start-b");
    desk.restore(lastEvening());
    const nothing = (s: number) =>
      picture(s, { channels: [inlet, flowing, room].map((definition) => ({ definition, reading: null })) });
    for (let s = 0; s <= 5; s += 1) desk.update(nothing(s));
    expect(states(desk)).toEqual(["coolant-flow-lost unacknowledged", "coolant-high acknowledged"]);
    const [first, ...rest] = hold(desk, 6, 30, 20, 1);
    expect(first?.id).toBe("start-b-1");
    expect(words([...(first === undefined ? [] : [first]), ...rest])).toEqual([
      "11 coolant-flow-lost returned",
      "16 coolant-high returned-to-normal",
    ]);
  });

  it.each([
    ["the last raised and the last of each alarm", false],
    ["every transition there was", true],
  ])("tells when it was raised and what was seen then, from %s", (_, whole) => {
    const before = newDesk();
    const told = hold(before, 0, 6, 23, 1);
    told.push(...hold(before, 7, 10, 24, 0));
    told.push(before.acknowledge("coolant-flow-lost", "phone", at(11), null));
    told.push(before.acknowledge("coolant-high", "phone", at(12), null));
    told.push(...hold(before, 13, 40, 20, 0));
    told.push(...hold(before, 41, 50, 25, 0));
    told.push(before.acknowledge("coolant-high", "phone", at(51), null));
    const kept = told.filter(
      (one, i) =>
        whole ||
        !told
          .slice(i + 1)
          .some(
            ({ alarm, transition }) =>
              alarm === one.alarm && (transition === "raised" || one.transition !== "raised"),
          ),
    );
    expect(kept).toHaveLength(whole ? 7 : 4);
    const desk = newDesk("start-b");
    desk.restore(kept);
    expect(desk.standing()).toMatchObject([
      {
        alarm: "coolant-flow-lost",
        state: "acknowledged",
        raisedWall: at(9).wall,
        detail: "Coolant flow switch says the coolant is not flowing",
      },
      {
        alarm: "coolant-high",
        state: "acknowledged",
        raisedWall: at(46).wall,
        detail: "Coolant in is 25.0 °C, above 22.0 °C",
      },
    ]);
  });

  it("keeps the order of raising, whatever the order of acknowledging", () => {
    const rooms = [channel("room", "room-temperature"), channel("shed", "room-temperature")];
    const [first, second] = rooms;
    if (first === undefined || second === undefined) throw new Error("two rooms were made");
    const both = () =>
      createAlarmDesk(defineAlarms({}, { channels: rooms, coolantRange: RANGE }), { startId: "s" });
    const before = both();
    const told: AlarmTransition[] = [];
    for (let s = 0; s <= 10; s += 1) {
      const shed = s < 5 ? good(second, 20, s) : faulty(second, "missing", s);
      told.push(...before.update(picture(s, { channels: [faulty(first, "missing", s), shed] })));
    }
    told.push(before.acknowledge("sensor-dead:shed", "phone", at(11), null));
    told.push(before.acknowledge("sensor-dead:room", "phone", at(12), null));
    const desk = both();
    desk.restore(told);
    expect(states(desk)).toEqual(["sensor-dead:room acknowledged", "sensor-dead:shed acknowledged"]);
  });

  it("takes the last transition alone, and passes over alarms that are no longer defined", () => {
    const last = lastEvening().at(-1);
    if (last === undefined) throw new Error("nothing was told");
    const desk = newDesk("start-b");
    desk.restore([{ ...last, alarm: "sensor-dead:gone" }, last]);
    expect(states(desk)).toEqual(["coolant-high acknowledged"]);
  });

  it("an alarm that had gone back to normal stays normal", () => {
    const desk = newDesk();
    const told = [...hold(desk, 0, 6, 23, 1), desk.acknowledge("coolant-high", "phone", at(7), null)];
    told.push(...hold(desk, 8, 30, 20, 1));
    const again = newDesk("start-b");
    again.restore(told);
    expect(again.standing()).toEqual([]);
  });
});
