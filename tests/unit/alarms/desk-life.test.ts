import { describe, expect, it } from "vitest";
import { createAlarmDesk } from "../../../station/alarms/desk.js";
import { defineAlarms } from "../../../station/alarms/entry.js";
import { codeOf, flowing, hold, inlet, newDesk, room, scene, states, words } from "./desk-scenes.js";
import { at, channel, good, picture, RANGE } from "./given.js";

const DAY_S = 86_400;
const by = "phone";
const deed = (alarm: string, seconds: number) => ({ alarm, by, now: at(seconds), run: null });

describe("an alarm that latches", () => {
  const latching = () =>
    createAlarmDesk(
      defineAlarms(
        { "coolant-flow-lost": { latching: true } },
        { channels: [inlet, flowing, room], coolantRange: RANGE },
      ),
      { startId: "s" },
    );

  it("sounds on after its condition has gone, until it is acknowledged, and stays until it is reset", () => {
    const desk = latching();
    hold(desk, 0, 5, 20, 0);
    expect(codeOf(() => desk.reset(deed("coolant-flow-lost", 5)))).toBe("alarm-not-latched");
    expect(words(hold(desk, 6, 30, 20, 1))).toEqual(["21 coolant-flow-lost latched"]);
    expect([states(desk), desk.annunciation(), desk.pinWanted()]).toEqual([
      ["coolant-flow-lost latched-unacknowledged"],
      "urgent",
      true,
    ]);
    expect(codeOf(() => desk.reset(deed("coolant-flow-lost", 31)))).toBe("alarm-not-latched");
    desk.acknowledge("coolant-flow-lost", by, at(31), null);
    expect([states(desk), desk.annunciation()]).toEqual([["coolant-flow-lost latched-acknowledged"], null]);
    expect(desk.reset(deed("coolant-flow-lost", 32))).toMatchObject({
      transition: "reset",
      to: "normal",
      by,
    });
    expect(desk.standing()).toEqual([]);
  });
});

describe("an alarm on the shelf", () => {
  const shelved = () => {
    const desk = newDesk();
    hold(desk, 0, 6, 23, 1);
    desk.shelve({ ...deed("coolant-high", 7), minutes: 2, reason: "new fan" });
    return desk;
  };

  it("is silent, in the list with its time left, and raised in the words of what is there when that is over", () => {
    const desk = shelved();
    expect(hold(desk, 8, 60, 24, 1)).toEqual([]);
    expect([desk.standing(), desk.annunciation()]).toEqual([[], null]);
    expect(desk.suppressed()).toMatchObject([
      {
        ...{ alarm: "coolant-high", state: "shelved", by, reason: "new fan", conditionThere: true },
        leftMs: 67_000,
      },
    ]);
    const told = hold(desk, 61, 200, 24, 1);
    expect(words(told)).toEqual(["127 coolant-high unshelved", "127 coolant-high raised"]);
    expect(told[1]).toMatchObject({
      from: "normal",
      to: "unacknowledged",
      detail: "Coolant in is 24.0 °C, above 22.0 °C",
    });
  });

  it("comes back to nothing where its condition has gone meanwhile", () => {
    const desk = shelved();
    expect(words(hold(desk, 8, 200, 20, 1))).toEqual(["127 coolant-high unshelved"]);
    expect([desk.standing(), desk.suppressed()]).toEqual([[], []]);
  });

  it("may not be shelved for longer than its priority allows, nor twice, nor while it is out of service", () => {
    const desk = newDesk();
    const shelve = (alarm: string, minutes: number) =>
      codeOf(() => desk.shelve({ ...deed(alarm, 0), minutes, reason: "why" }));
    expect([
      shelve("coolant-flow-lost", 31),
      shelve("coolant-high", 121),
      shelve("sensor-dead:room", 481),
    ]).toEqual(Array(3).fill("request-invalid"));
    expect([shelve("coolant-high", 0), shelve("coolant-high", Number.NaN)]).toEqual(
      Array(2).fill("request-invalid"),
    );
    expect([shelve("coolant-flow-lost", 30), shelve("coolant-flow-lost", 5)]).toEqual([
      ...["nothing thrown", "alarm-shelved"],
    ]);
    desk.takeOutOfService({ ...deed("coolant-high", 0), reason: "why" });
    expect(shelve("coolant-high", 5)).toBe("alarm-out-of-service");
    expect(codeOf(() => desk.unshelve(deed("coolant-high", 0)))).toBe("alarm-not-shelved");
    expect(codeOf(() => desk.acknowledge("coolant-high", by, at(0), null))).toBe("alarm-not-standing");
  });

  it("from another boot ends by the wall clock at the latest, once that is synchronised, and by no other", () => {
    const told = { ...deed("coolant-high", 0), minutes: 60, reason: "new fan" };
    const before = newDesk();
    const transition = before.shelve(told);
    const again = (clock: "synchronised" | "not synchronised", wallAhead: number) => {
      const desk = newDesk("b");
      const since = { wall: at(0).wall, mono: null };
      const latestEndWall = at(3600).wall;
      desk.restore(
        [transition],
        new Map([["coolant-high", { by, reason: "new fan", since, latestEndWall, shelvedUntil: 3_600_000 }]]),
      );
      const now = { mono: 1000, wall: at(0).wall + wallAhead };
      desk.update({ ...scene(1, 20, 1), now, clock });
      return desk.suppressed().map(({ leftMs }) => leftMs);
    };
    expect(again("synchronised", 3_000_000)).toEqual([600_000]);
    expect(again("synchronised", 4_000_000)).toEqual([]);
    expect(again("synchronised", -1e12)).toEqual([3_599_000]);
    expect(again("not synchronised", 1e12)).toEqual([3_599_000]);
  });
});

describe("an alarm out of service", () => {
  it("says nothing until it is put back, and is then raised at once where it is there", () => {
    const desk = newDesk();
    desk.takeOutOfService({ ...deed("coolant-high", 0), reason: "probe is moved" });
    expect(hold(desk, 0, DAY_S / 100, 23, 1)).toEqual([]);
    expect(desk.suppressed()).toMatchObject([
      { state: "out-of-service", forMs: 864_000, leftMs: null, conditionThere: true },
    ]);
    desk.putInService(deed("coolant-high", 865));
    expect(words(hold(desk, 866, 867, 23, 1))).toEqual(["866 coolant-high raised"]);
    expect(codeOf(() => desk.putInService(deed("coolant-high", 868)))).toBe("alarm-in-service");
  });
});

describe("an alarm that has nothing to say while the machine is off", () => {
  const machine = channel("machine", "machine-on");
  const desk = () =>
    createAlarmDesk(defineAlarms({}, { channels: [inlet, flowing, machine], coolantRange: RANGE }), {
      startId: "s",
    });
  const seen = (s: number, on: 0 | 1 | null, coolant = 20) =>
    picture(s, {
      channels: [
        ...[good(inlet, coolant, s), good(flowing, on === 1 ? 1 : 0, s)],
        on === null ? { definition: machine, reading: null } : good(machine, on, s),
      ],
    });

  it("is suppressed by design then, and shown so; the same flow is an alarm where nothing tells that it is off", () => {
    const off = desk();
    for (let s = 0; s <= 20; s += 1) off.update(seen(s, 0, 30));
    expect(states(off)).toEqual([]);
    expect(off.suppressed().map(({ alarm, state, reason }) => `${alarm} ${state}: ${reason}`)).toEqual(
      ["coolant-flow-lost", "coolant-high", "coolant-low", "coolant-rising"].map(
        (alarm) => `${alarm} suppressed-by-design: The machine is off`,
      ),
    );
    const untold = desk();
    for (let s = 0; s <= 9; s += 1) untold.update(seen(s, null));
    expect(states(untold)).toContain("coolant-flow-lost unacknowledged");
  });

  it("is raised once the machine is on and it is still so, and one that waits for a person stays in the list", () => {
    const one = desk();
    for (let s = 0; s <= 5; s += 1) one.update(seen(s, 0, 30));
    const told = [6, 7].flatMap((s) => one.update(seen(s, 1, 30)));
    expect(words(told)).toContain("6 coolant-high raised");
    one.update(seen(8, 0, 30));
    expect(states(one)).toContain("coolant-high unacknowledged");
    one.acknowledge("coolant-high", by, at(9), null);
    expect(words(one.update(seen(9, 0, 30)))).toEqual(["9 coolant-high suppressed"]);
  });
});

describe("an alarm while it is told that the machine is off, as a loose wire tells it", () => {
  const machine = channel("machine", "machine-on");
  const wired = () =>
    createAlarmDesk(defineAlarms({}, { channels: [inlet, flowing, machine], coolantRange: RANGE }), {
      startId: "s",
    });
  const seen = (s: number, more: Parameters<typeof picture>[1]) =>
    picture(s, { channels: [good(inlet, 20, s), good(flowing, 0, s), good(machine, 0, s)], ...more });

  it.each([
    ["the laser is on", { laserOn: true }],
    ["a run is open", { run: { id: "r", startMono: 0 } }],
    ["both", { laserOn: true, run: { id: "r", startMono: 0 } }],
  ])("is raised all the same where %s", (_, cutting) => {
    const desk = wired();
    for (let s = 0; s <= 3; s += 1) desk.update(seen(s, cutting));
    expect(states(desk)).toContain("coolant-flow-lost unacknowledged");
    expect([desk.annunciation(), desk.suppressed()]).toEqual(["urgent", []]);
  });

  it("is no longer suppressed once something is cut", () => {
    const desk = wired();
    for (let s = 0; s <= 5; s += 1) desk.update(seen(s, {}));
    expect(states(desk)).toEqual([]);
    expect(words(desk.update(seen(6, { laserOn: true })))).toContain("6 coolant-flow-lost raised");
  });
});

describe("what else is told of standing alarms", () => {
  it("which of a group rose first, where several stand", () => {
    const desk = newDesk();
    hold(desk, 0, 6, 23, 1);
    expect(desk.standing().map(({ firstOut }) => firstOut)).toEqual([false]);
    hold(desk, 7, 10, 23, 0);
    expect(desk.standing().map(({ alarm, firstOut }) => [alarm, firstOut])).toEqual([
      ["coolant-flow-lost", false],
      ["coolant-high", true],
    ]);
  });

  it("that one has stood for more than a day", () => {
    const desk = newDesk();
    hold(desk, 0, 6, 23, 1);
    desk.update(scene(DAY_S, 23, 1));
    expect(desk.standing()[0]?.stale).toBe(false);
    desk.update(scene(DAY_S + 6, 23, 1));
    expect(desk.standing()[0]?.stale).toBe(true);
  });

  it("that one has been acknowledged for so long that it sounds again", () => {
    const desk = newDesk();
    hold(desk, 0, 5, 20, 0);
    desk.acknowledge("coolant-flow-lost", by, at(5), null);
    // Ten minutes, as it is urgent, from the first look after the answer.
    expect(words(hold(desk, 6, 620, 20, 0))).toEqual(["606 coolant-flow-lost re-alarmed"]);
    expect([states(desk), desk.annunciation()]).toEqual([["coolant-flow-lost unacknowledged"], "urgent"]);
  });

  it("that one chatters: told once, held, and over after a minute of quiet", () => {
    const desk = newDesk();
    const told = [];
    for (let s = 0; s < 60; s += 1) told.push(...desk.update(scene(s, 20, s % 4 < 2 ? 0 : 1)));
    expect(told.map(({ alarm, transition }) => `${alarm} ${transition}`)).toEqual([
      ...["coolant-flow-lost raised", "coolant-flow-lost chattering"],
    ]);
    expect(desk.standing()[0]?.chattering).toBe(true);
    expect(words(hold(desk, 60, 115, 20, 1))).toEqual([]);
    expect(words(hold(desk, 116, 130, 20, 1))).toEqual(["116 coolant-flow-lost returned"]);
    expect(desk.standing()[0]?.chattering).toBe(false);
  });
});

describe("an alarm that is set otherwise", () => {
  it("is judged by it at once, in the state it is in", () => {
    const desk = newDesk();
    hold(desk, 0, 6, 23, 1);
    const redefined = defineAlarms(
      { "coolant-high": { setpoint: 25, off_delay_s: 0, priority: "urgent" } },
      { channels: [inlet, flowing, room], coolantRange: RANGE },
    );
    desk.redefine(redefined);
    expect(desk.annunciation()).toBe("urgent");
    expect(words(hold(desk, 7, 7, 23, 1))).toEqual(["7 coolant-high returned"]);
    expect(desk.standing()[0]).toMatchObject({ setpoint: 25, priority: "urgent" });
  });
});
