import { describe, expect, it } from "vitest";
import { defineAlarms } from "../../../station/alarms/entry.js";
import type { StationPicture } from "../../../station/alarms/rules.js";
import { channel, faulty, good, observed, picture, RANGE } from "./given.js";

const inlet = channel("coolant", "coolant-inlet");
const flow = channel("flow", "coolant-flow");
const flowing = channel("flowing", "coolant-flowing");
const air = channel("air", "extraction-airflow");
const room = channel("room", "room-temperature");
const humidity = channel("humidity", "room-humidity");
const channels = [inlet, flow, flowing, air, room, humidity];
const definitions = defineAlarms({ flow_low_l_min: 2 }, { channels, coolantRange: RANGE });

const RUNNING = { state: "running", text: "running: air speed 3.0 m/s" } as const;
const STOPPED = { state: "stopped", text: "stopped: fan reads 0 1/min, below 300 1/min" } as const;

const seen = (alarm: string, ...pictures: StationPicture[]) => observed(definitions, alarm, pictures);
const presence = (alarm: string, ...pictures: StationPicture[]) => seen(alarm, ...pictures).presence;

describe("a sensor that has only just been lost", () => {
  const other = { ...channel("coolant-2", "coolant-inlet"), name: "Coolant in, second probe" };
  const hot = picture(0, { channels: [good(inlet, 24, 0), good(other, 20, 0)] });
  const lost = (seconds: number) =>
    picture(seconds, { channels: [faulty(inlet, "crc-failed", seconds), good(other, 20, seconds)] });

  it("keeps another from saying that all is well, for its stale time", () => {
    expect(presence("coolant-high", hot)).toBe("present");
    expect(presence("coolant-high", hot, lost(9.9))).toBe("unknown");
    expect(presence("coolant-high", hot, lost(10))).toBe("absent");
  });

  it("does not keep another from saying that something is wrong", () => {
    const both = picture(2, { channels: [faulty(inlet, "crc-failed", 2), good(other, 23, 2)] });
    expect(presence("coolant-high", hot, both)).toBe("present");
  });

  it("holds for the flow and the extraction as well", () => {
    const stood = picture(0, { channels: [good(flowing, 0, 0), good(flow, 5, 0)] });
    const without = picture(2, { channels: [faulty(flowing, "missing", 2), good(flow, 5, 2)] });
    expect(presence("coolant-flow-lost", stood, without)).toBe("unknown");

    const fan = channel("fan", "extraction-speed");
    const cutting = (
      seconds: number,
      speed: ReturnType<typeof good>,
      extraction: StationPicture["extraction"],
    ) => picture(seconds, { laserOn: true, extraction, channels: [good(air, 3, seconds), speed] });
    const still = cutting(0, good(fan, 0, 0), STOPPED);
    const blind = (seconds: number) => cutting(seconds, faulty(fan, "missing", seconds), RUNNING);
    expect(presence("extraction-stopped", still, blind(2))).toBe("unknown");
    expect(presence("extraction-stopped", still, blind(10))).toBe("absent");
  });
});

describe("how long an unknown is held", () => {
  const slow = channel("slow-room", "room-temperature", 90);
  const holdOf = (alarm: string) => seen(alarm, picture(0, { channels: all })).holdMs;
  const all = [good(inlet, 20, 0), good(slow, 21, 0), good(humidity, 50, 0), good(flow, 5, 0)];

  it("is the stale time of what the alarm is judged by, and of several the longest", () => {
    expect(holdOf("coolant-high")).toBe(10_000);
    expect(holdOf("condensation-risk")).toBe(90_000);
    expect(holdOf("coolant-flow-lost")).toBe(10_000);
    expect(holdOf("sensor-dead:coolant")).toBe(10_000);
  });

  it("is not at all where no sensor is asked", () => {
    expect(holdOf("journal-not-writing")).toBe(0);
    expect(seen("extraction-stopped", picture(0, { extraction: RUNNING })).holdMs).toBe(0);
  });
});

describe("a sensor that answers only now and then", () => {
  it("is dead, in good moments and bad ones", () => {
    const alarm = "sensor-dead:room";
    const turns = (upTo: number) =>
      Array.from({ length: upTo / 2 }, (_, i) => i * 2).map((s) =>
        picture(s, { channels: [s % 4 === 0 ? good(room, 21, s) : faulty(room, "crc-failed", s)] }),
      );
    const detail = /^Room temperature answers only now and then: [78] of the last 15 readings were bad/;
    for (const upTo of [40, 42]) {
      expect(seen(alarm, ...turns(upTo))).toMatchObject({
        presence: "present",
        detail: expect.stringMatching(detail),
      });
    }
    const goodAgain = (to: number) =>
      Array.from({ length: (to - 40) / 2 }, (_, i) => 40 + i * 2).map((s) =>
        picture(s, { channels: [good(room, 21, s)] }),
      );
    expect(presence(alarm, ...turns(40), ...goodAgain(68))).toBe("present");
    expect(presence(alarm, ...turns(40), ...goodAgain(70))).toBe("absent");
  });

  it("is plainly dead, with its reason, once it has given no value for its stale time", () => {
    const turns = [0, 2, 4, 6, 8].map((s) =>
      picture(s, { channels: [s % 4 === 0 ? good(room, 21, s) : faulty(room, "crc-failed", s)] }),
    );
    const gone = (s: number) => picture(s, { channels: [faulty(room, "read-error", s)] });
    expect(seen("sensor-dead:room", ...turns, gone(10)).detail).toBe(
      "Room temperature answers only now and then: 3 of the last 6 readings were bad (reading it failed)",
    );
    expect(seen("sensor-dead:room", ...turns, gone(18.1)).detail).toBe("Room temperature: reading it failed");
  });
});
