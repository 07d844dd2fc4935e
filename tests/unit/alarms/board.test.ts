import { describe, expect, it } from "vitest";
import { ALARM_DEFAULTS } from "../../../station/alarms/definitions.js";
import { createAlarmDesk } from "../../../station/alarms/desk.js";
import { defineAlarms } from "../../../station/alarms/entry.js";
import { at, channel, faulty, good, observed, picture, RANGE } from "./given.js";

const fan = channel("fan", "extraction-speed", 5);
const laser = channel("laser", "laser-on", 5);
const room = channel("room", "room-temperature", 60);
const probe = { ...channel("probe", "coolant-inlet", 5), source: "probe" };
const channels = [fan, laser, room, probe];
const define = (entry: Parameters<typeof defineAlarms>[0] = {}) =>
  defineAlarms(entry, { channels, coolantRange: RANGE });

const well = (s: number) =>
  picture(s, { channels: [good(fan, 900, s), good(laser, 0, s), good(room, 20, s), good(probe, 20, s)] });
/** As when the cable is pulled: every sensor of the board is marked at once. */
const pulled = (s: number, since = 10) =>
  picture(s, {
    channels: [...[fan, laser, room].map((each) => faulty(each, "unplugged", since)), good(probe, 20, s)],
  });

/** As after a start: nothing has come from the board yet. */
const unheard = (s: number) =>
  picture(s, {
    channels: [
      ...[fan, laser, room].map((definition) => ({ definition, reading: null })),
      good(probe, 20, s),
    ],
  });

/** What people are told; what was kept from them is looked at by itself. */
function raisedBy(pictures: readonly ReturnType<typeof picture>[], entry = {}) {
  const desk = createAlarmDesk(define(entry), { startId: "s" });
  return pictures
    .flatMap((one) => desk.update(one))
    .filter(({ transition }) => transition !== "suppressed" && transition !== "unsuppressed")
    .map(({ alarm, transition }) => `${alarm} ${transition}`);
}
const seconds = (from: number, to: number) => Array.from({ length: to - from + 1 }, (_, i) => from + i);

describe("a board that does not answer", () => {
  it("is one alarm, as serious as its most important sensor, and those of its sensors are kept back", () => {
    const definition = define().find(({ id }) => id === "board-silent:bench");
    expect(definition).toMatchObject({ title: "Board does not answer: bench", priority: "high" });
    expect(define().some(({ id }) => id === "board-silent:probe")).toBe(false);
    const told = raisedBy([...seconds(0, 9).map(well), ...seconds(10, 200).map((s) => pulled(s))]);
    expect(told).toEqual(["board-silent:bench raised"]);
  });

  it("suppresses the alarms of its sensors by design, which are shown as that until it answers", () => {
    const desk = createAlarmDesk(define(), { startId: "s" });
    for (const one of [...seconds(0, 9).map(well), ...seconds(10, 60).map((s) => pulled(s))])
      desk.update(one);
    expect(desk.suppressed()).toMatchObject(
      ["fan", "laser", "room"].map((id) => ({
        alarm: `sensor-dead:${id}`,
        state: "suppressed-by-design",
        reason: "Its board, bench, does not answer",
        by: null,
        leftMs: null,
      })),
    );
    for (const s of seconds(61, 70)) desk.update(well(s));
    expect(desk.suppressed()).toEqual([]);
  });

  it("that is still off when the station starts again has not come back, and is not told a second time", () => {
    const before = createAlarmDesk(define(), { startId: "a" });
    const told = [...seconds(0, 9).map(well), ...seconds(10, 60).map((s) => pulled(s))].flatMap((one) =>
      before.update(one),
    );
    told.push(before.acknowledge("board-silent:bench", "wall screen", at(61), null));
    const desk = createAlarmDesk(define(), { startId: "b" });
    desk.restore(told);
    const after = [...seconds(200, 320).map(unheard), ...seconds(321, 330).map(well)]
      .flatMap((one) => desk.update(one))
      .filter(({ alarm }) => alarm === "board-silent:bench")
      .map(({ transition, mono }) => `${mono / 1000} ${transition}`);
    expect(after).toEqual(["324 returned-to-normal"]);
  });

  it("returns when it answers again, and gives each sensor its time before that is called dead", () => {
    const back = (s: number) =>
      picture(s, {
        channels: [good(fan, 900, s), good(laser, 0, s), faulty(room, "unplugged", 10), good(probe, 20, s)],
      });
    const before = [...seconds(0, 9).map(well), ...seconds(10, 30).map((s) => pulled(s))];
    expect(raisedBy([...before, ...seconds(31, 89).map(back)])).toEqual([
      "board-silent:bench raised",
      "board-silent:bench returned",
    ]);
    expect(raisedBy([...before, ...seconds(31, 120).map(back)])).toContain("sensor-dead:room raised");
  });

  it("is told of where its sensors are marked one after the other, and no delay is set", () => {
    const one = picture(10, {
      channels: [faulty(fan, "unplugged", 10), good(laser, 0, 9), good(room, 20, 9), good(probe, 20, 10)],
    });
    const told = raisedBy([...seconds(0, 9).map(well), one, ...seconds(10, 200).map((s) => pulled(s))], {
      "sensor-dead": { on_delay_s: 0 },
    });
    expect(told).toEqual(["board-silent:bench raised"]);
  });

  it("is told from one sensor that is unplugged while the others report", () => {
    const one = (s: number) =>
      picture(s, {
        channels: [faulty(fan, "unplugged", s), good(laser, 0, s), good(room, 20, s), good(probe, 20, s)],
      });
    expect(raisedBy([...seconds(0, 5).map(well), ...seconds(6, 9).map(one)])).toEqual([
      "sensor-dead:fan raised",
    ]);
  });

  it("is told from one sensor that is dead", () => {
    const one = (s: number) =>
      picture(s, {
        channels: [faulty(fan, "wire-missing", s), good(laser, 0, s), good(room, 20, s), good(probe, 20, s)],
      });
    expect(raisedBy([...seconds(0, 5).map(well), ...seconds(6, 20).map(one)])).toEqual([
      "sensor-dead:fan raised",
    ]);
  });

  it("is told of after the start too, as soon as one of its sensors has been waited for long enough", () => {
    expect(observed(define(), "board-silent:bench", [unheard(0), unheard(4)]).presence).toBe("unknown");
    expect(raisedBy(seconds(0, 90).map(unheard))).toEqual(["board-silent:bench raised"]);
  });

  it("does not speak for its sensors where its own alarm is switched off", () => {
    const told = raisedBy([...seconds(0, 9).map(well), ...seconds(10, 30).map((s) => pulled(s))], {
      "board-silent": { enabled: false },
    });
    expect(told).toEqual(["sensor-dead:fan raised", "sensor-dead:laser raised", "sensor-dead:room raised"]);
  });
});

it("no alarm gives a command to be typed: what is to be done is done with hands, or on a page", () => {
  for (const { action, consequence } of Object.values(ALARM_DEFAULTS)) {
    expect(`${consequence} ${action}`).not.toMatch(/npm |`/);
  }
});
