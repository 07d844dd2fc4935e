import { describe, expect, it } from "vitest";
import { createAlarmDesk } from "../../../station/alarms/desk.js";
import { defineAlarms } from "../../../station/alarms/entry.js";
import type { AlarmState, AlarmTransition } from "../../../station/model/alarm.js";
import { flowing, hold, inlet, newDesk, room, states, words } from "./desk-scenes.js";
import { at, channel, faulty, good, picture, RANGE } from "./given.js";

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

  it("how long one has been acknowledged goes on, as the wall clock does: it sounds again when it would have", () => {
    const told = hold(newDesk(), 0, 5, 20, 0);
    const [raised] = told;
    if (raised === undefined) throw new Error("nothing was raised");
    const answered: AlarmTransition = {
      ...raised,
      transition: "acknowledged",
      from: "unacknowledged",
      to: "acknowledged",
    };
    const restarted = (seconds: number) => {
      const desk = newDesk("start-b");
      // The machine was off meanwhile, and counts from its own start.
      desk.restore([raised, answered], new Map(), { mono: 0, wall: answered.wall + seconds * 1000 });
      return words(hold(desk, 0, 700, 20, 0));
    };
    // Ten minutes, as it is urgent.
    expect(restarted(0)).toEqual(["600 coolant-flow-lost re-alarmed"]);
    expect(restarted(420)).toEqual(["180 coolant-flow-lost re-alarmed"]);
    expect(restarted(86_400)).toEqual(["0 coolant-flow-lost re-alarmed"]);
    // A clock that went back says nothing of it.
    expect(restarted(-3600)).toEqual(["600 coolant-flow-lost re-alarmed"]);
  });

  it("what is told late does not touch an alarm that has risen since", () => {
    const desk = newDesk("start-b");
    hold(desk, 0, 6, 23, 1);
    expect(states(desk)).toEqual(["coolant-high unacknowledged"]);
    desk.restoreResting(lastEvening(), at(7));
    expect(states(desk)).toEqual(["coolant-flow-lost unacknowledged", "coolant-high unacknowledged"]);
  });

  const machine = channel("machine", "machine-on");
  const kept = (to: AlarmState): AlarmTransition => ({
    ...{ id: "a-1", alarm: "coolant-flow-lost", kind: "coolant-flow-lost", title: "", priority: "urgent" },
    ...{ transition: "raised", from: "normal", to, detail: "kept", wall: 1, mono: 1, run: null, by: null },
  });
  const off = () => {
    const desk = createAlarmDesk(
      defineAlarms({}, { channels: [inlet, flowing, machine], coolantRange: RANGE }),
      { startId: "b" },
    );
    const look = (s: number, on = 0) =>
      desk.update(picture(s, { channels: [good(inlet, 20, s), good(flowing, 0, s), good(machine, on, s)] }));
    const now = () =>
      desk.suppressed().find(({ alarm }) => alarm === "coolant-flow-lost")?.state ??
      desk.standing().find(({ alarm }) => alarm === "coolant-flow-lost")?.state ??
      "normal";
    look(0);
    expect(now()).toBe("suppressed-by-design");
    return { desk, look, now };
  };
  const shelf = new Map([
    ["coolant-flow-lost", { by: "a", reason: "r", since: at(0), latestEndWall: null, shelvedUntil: 600_000 }],
  ]);

  it.each<[AlarmState, AlarmState]>([
    ["normal", "suppressed-by-design"],
    ["unacknowledged", "unacknowledged"],
    ["acknowledged", "suppressed-by-design"],
    ["returned-unacknowledged", "returned-unacknowledged"],
    ["latched-unacknowledged", "latched-unacknowledged"],
    ["latched-acknowledged", "latched-acknowledged"],
    ["shelved", "shelved"],
    ["suppressed-by-design", "suppressed-by-design"],
    ["out-of-service", "out-of-service"],
  ])("what is told late of one suppressed since, %s, is %s at the next look", (before, after) => {
    const { desk, look, now } = off();
    const { kept: told } = desk.restoreResting([kept(before)], at(0), shelf);
    // What the next start goes by.
    const rests = before === "normal" || before === "suppressed-by-design";
    expect(told.map(({ transition, to }) => [transition, to])).toEqual(
      rests ? [] : [["unsuppressed", before]],
    );
    look(1);
    expect(now()).toBe(after);
  });

  it("one suppressed since is raised by what was seen meanwhile, when its last word was that all is well", () => {
    const { desk, look, now } = off();
    for (let s = 1; s <= 5; s += 1) look(s);
    desk.restoreResting([kept("normal")], at(5));
    look(6, 1);
    expect(now()).toBe("unacknowledged");
  });

  it("one that rose since and was answered is not brought back", () => {
    const desk = newDesk("start-b");
    hold(desk, 0, 6, 23, 1);
    desk.acknowledge("coolant-high", "phone", at(7), null);
    hold(desk, 8, 30, 20, 1);
    expect(desk.standing()).toEqual([]);
    const raised = lastEvening().find(({ alarm }) => alarm === "coolant-high");
    if (raised === undefined) throw new Error("it was raised");
    expect(desk.restoreResting([raised], at(31))).toEqual({ kept: [], alarms: new Set() });
    expect(desk.standing()).toEqual([]);
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
      "16 coolant-high returned-to-normal",
      "21 coolant-flow-lost returned",
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
    const elsewhere = { ...channel("shed", "room-temperature"), source: "shed" };
    const rooms = [channel("room", "room-temperature"), elsewhere];
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
