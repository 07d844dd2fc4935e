import { describe, expect, it } from "vitest";
import { defineAlarms } from "../../../station/alarms/entry.js";
import { observe, remember, type StationPicture } from "../../../station/alarms/rules.js";
import { channel, faulty, good, observed, picture, RANGE } from "./given.js";

const inlet = channel("coolant", "coolant-inlet");
const flow = channel("flow", "coolant-flow");
const flowing = channel("flowing", "coolant-flowing");
const air = channel("air", "extraction-airflow");
const room = channel("room", "room-temperature");
const humidity = channel("humidity", "room-humidity");
const channels = [inlet, flow, flowing, air, room, humidity];
const definitions = defineAlarms({ flow_low_l_min: 2 }, { channels, coolantRange: RANGE });

const RUNNING = { state: "running", text: "running: air speed 3.1 m/s" } as const;
const STOPPED = { state: "stopped", text: "stopped: air speed reads 0.1 m/s, below 0.5 m/s" } as const;
const UNKNOWN = { state: "unknown", text: "not known: air speed: it was unplugged" } as const;
const RUN = { id: "run-1", startMono: 0 };

const seen = (alarm: string, ...pictures: StationPicture[]) => observed(definitions, alarm, pictures);
const presence = (alarm: string, ...pictures: StationPicture[]) => seen(alarm, ...pictures).presence;

describe("extraction stopped", () => {
  const alarm = "extraction-stopped";

  it("is present when it stops during a run in which it ran", () => {
    const last = seen(
      alarm,
      picture(0, { run: RUN, extraction: RUNNING }),
      picture(9, { run: RUN, extraction: STOPPED }),
    );
    expect(last).toMatchObject({
      presence: "present",
      detail: "Extraction stopped: air speed reads 0.1 m/s, below 0.5 m/s (a run is open)",
    });
  });

  it("is present with the laser on, whether or not it ever ran, and without a run", () => {
    expect(presence(alarm, picture(0, { laserOn: true, extraction: STOPPED }))).toBe("present");
    expect(presence(alarm, picture(0, { laserOn: true, run: RUN, extraction: STOPPED }))).toBe("present");
  });

  it("is absent in a run with the laser off where it never ran", () => {
    expect(presence(alarm, picture(0, { run: RUN, extraction: STOPPED }))).toBe("absent");
  });

  it("is absent while nothing is cut, even just after", () => {
    expect(presence(alarm, picture(0, { extraction: STOPPED }))).toBe("absent");
    const ran = picture(0, { run: RUN, extraction: RUNNING });
    expect(presence(alarm, ran, picture(1, { extraction: STOPPED }))).toBe("absent");
  });

  it("forgets a former cutting", () => {
    const pictures = [
      picture(0, { run: RUN, extraction: RUNNING }),
      picture(1, { extraction: STOPPED }),
      picture(2, { run: { id: "run-2", startMono: 2000 }, extraction: STOPPED }),
    ];
    expect(presence(alarm, ...pictures)).toBe("absent");
  });

  it("is unknown when the extraction becomes unknown after it was running", () => {
    const ran = picture(0, { run: RUN, extraction: RUNNING });
    expect(seen(alarm, ran, picture(1, { run: RUN, extraction: UNKNOWN }))).toMatchObject({
      presence: "unknown",
      detail: "Extraction not known: air speed: it was unplugged",
    });
    expect(presence(alarm, picture(0, { run: RUN, extraction: UNKNOWN }))).toBe("absent");
  });
});

describe("extraction not running", () => {
  const alarm = "extraction-not-running";

  it("is present from the start of a run until it runs", () => {
    const before = picture(0, { run: RUN, extraction: STOPPED });
    expect(seen(alarm, before)).toMatchObject({
      presence: "present",
      detail: "Extraction stopped: air speed reads 0.1 m/s, below 0.5 m/s (a run has started)",
    });
    expect(presence(alarm, before, picture(1, { run: RUN, extraction: RUNNING }))).toBe("absent");
  });

  it("does not come back when the extraction stops later in the same run", () => {
    const ran = picture(0, { run: RUN, extraction: RUNNING });
    expect(presence(alarm, ran, picture(1, { run: RUN, extraction: STOPPED }))).toBe("absent");
  });

  it("is judged anew for each run, even while the laser stays on between them", () => {
    const pictures = [
      picture(0, { run: RUN, laserOn: true, extraction: RUNNING }),
      picture(1, { laserOn: true, extraction: STOPPED }),
      picture(2, { run: { id: "run-2", startMono: 2000 }, laserOn: true, extraction: STOPPED }),
    ];
    expect(presence(alarm, ...pictures)).toBe("present");
  });

  it("ends with the run, and is unknown where the extraction is", () => {
    expect(presence(alarm, picture(0, { run: RUN, extraction: STOPPED }), picture(1))).toBe("absent");
    expect(presence(alarm, picture(0, { run: RUN, extraction: UNKNOWN }))).toBe("unknown");
  });
});

describe("coolant", () => {
  it("is watched whether or not anything is being cut", () => {
    const warm = picture(0, { channels: [good(inlet, 23.4, 0)] });
    expect(seen("coolant-high", warm)).toEqual({
      presence: "present",
      value: 23.4,
      detail: "Coolant in is 23.4 °C, above 22.0 °C",
      holdMs: 10_000,
      suppressedBy: null,
    });
    expect(presence("coolant-low", warm)).toBe("absent");
    const cold = picture(0, { channels: [good(inlet, 17.5, 0)] });
    expect(seen("coolant-low", cold)).toMatchObject({
      presence: "present",
      detail: "Coolant in is 17.5 °C, below 18.0 °C",
    });
  });

  it("is in range at either end of it", () => {
    for (const value of [18, 22]) {
      const one = picture(0, { channels: [good(inlet, value, 0)] });
      expect([presence("coolant-high", one), presence("coolant-low", one)]).toEqual(["absent", "absent"]);
    }
  });

  it("is unknown with a dead, stale or missing sensor", () => {
    expect(presence("coolant-high", picture(0, { channels: [faulty(inlet, "crc-failed", 0)] }))).toBe(
      "unknown",
    );
    expect(presence("coolant-high", picture(11, { channels: [good(inlet, 23, 0)] }))).toBe("unknown");
    expect(presence("coolant-high", picture(0, { channels: [{ definition: inlet, reading: null }] }))).toBe(
      "unknown",
    );
  });

  it("is judged by the sensor that is furthest out, and not by a dead one", () => {
    const second = { ...channel("coolant-2", "coolant-inlet"), name: "Coolant in, second probe" };
    const both = picture(0, { channels: [good(inlet, 20, 0), good(second, 24, 0)] });
    expect(seen("coolant-high", both).detail).toBe("Coolant in, second probe is 24.0 °C, above 22.0 °C");
    const one = picture(0, { channels: [faulty(inlet, "missing", 0), good(second, 20, 0)] });
    expect(presence("coolant-high", one)).toBe("absent");
  });

  it("takes an uncertain value for a value", () => {
    const doubtful = faulty(inlet, "sudden-jump", 0);
    expect(presence("coolant-low", picture(0, { channels: [doubtful] }))).toBe("present");
  });

  it("names the range where the setpoint is another", () => {
    const own = defineAlarms(
      { "coolant-high": { setpoint: 21 } },
      { channels: [inlet], coolantRange: RANGE },
    );
    const one = picture(0, { channels: [good(inlet, 21.5, 0)] });
    expect(observe(own, one, remember(null, one)).get("coolant-high")?.detail).toBe(
      "Coolant in is 21.5 °C, above 21.0 °C; the coolant range is 18.0 to 22.0 °C",
    );
  });
});

describe("coolant flow", () => {
  const alarm = "coolant-flow-lost";
  const see = (...readings: StationPicture["channels"][number][]) =>
    seen(alarm, picture(0, { channels: readings }));

  it("is lost when the switch says so, whatever the sensor says", () => {
    expect(see(good(flowing, 0, 0), good(flow, 5, 0))).toEqual({
      presence: "present",
      value: null,
      detail: "Coolant flow switch says the coolant is not flowing",
      holdMs: 10_000,
      suppressedBy: null,
    });
  });

  it("is lost below the least flow", () => {
    expect(see(good(flowing, 1, 0), good(flow, 1.4, 0))).toEqual({
      presence: "present",
      value: 1.4,
      detail: "Coolant flow is 1.4 L/min, below 2.0 L/min",
      holdMs: 10_000,
      suppressedBy: null,
    });
    expect(see(good(flowing, 1, 0), good(flow, 2, 0)).presence).toBe("absent");
  });

  it("is judged by the one that still works, and is unknown without either", () => {
    expect(see(faulty(flow, "wire-missing", 0), good(flowing, 1, 0)).presence).toBe("absent");
    expect(see(faulty(flowing, "missing", 0), good(flow, 5, 0)).presence).toBe("absent");
    expect(see(faulty(flow, "wire-missing", 0), faulty(flowing, "missing", 0)).presence).toBe("unknown");
  });

  it("is lost at standstill only, where no least flow is set", () => {
    const own = defineAlarms({}, { channels: [flow], coolantRange: RANGE });
    const presenceAt = (value: number) => {
      const one = picture(0, { channels: [good(flow, value, 0)] });
      return observe(own, one, remember(null, one)).get(alarm)?.presence;
    };
    expect([presenceAt(0), presenceAt(0.1)]).toEqual(["present", "absent"]);
  });
});

describe("condensation, sensors and journal", () => {
  it("condensation is a risk below its margin and unknown without one", () => {
    const alarm = "condensation-risk";
    expect(seen(alarm, picture(0, { margin: { value: 1.2, quality: "good" } }))).toMatchObject({
      presence: "present",
      detail: "Condensation margin is 1.2 °C, below 2.0 °C",
    });
    expect(presence(alarm, picture(0, { margin: { value: 2, quality: "uncertain" } }))).toBe("absent");
    expect(presence(alarm, picture(0, { margin: { value: null, quality: "bad" } }))).toBe("unknown");
  });

  it("a sensor is dead with its reason", () => {
    expect(seen("sensor-dead:room", picture(0, { channels: [faulty(room, "read-error", 0)] }))).toMatchObject(
      {
        presence: "present",
        detail: "Room temperature: reading it failed",
      },
    );
    expect(
      presence("sensor-dead:room", picture(0, { channels: [faulty(room, "beyond-calibration", 0)] })),
    ).toBe("absent");
  });

  it("a sensor that has gone quiet is dead after its stale time, though its last reading was good", () => {
    const quiet = (seconds: number) => picture(seconds, { channels: [good(room, 21, 0)] });
    expect(presence("sensor-dead:room", quiet(10))).toBe("absent");
    expect(seen("sensor-dead:room", quiet(45))).toMatchObject({
      presence: "present",
      detail: "Room temperature: no new reading for 45 s",
    });
  });

  it("a sensor never read is dead once its stale time has passed since the start", () => {
    const never = (seconds: number) => picture(seconds, { channels: [{ definition: room, reading: null }] });
    expect(presence("sensor-dead:room", never(100), never(110))).toBe("unknown");
    expect(seen("sensor-dead:room", never(100), never(111))).toMatchObject({
      presence: "present",
      detail: "Room temperature: nothing has been read in the 11 s since the start",
    });
  });

  it("the journal is an alarm while it is not written", () => {
    expect(presence("journal-not-writing", picture(0))).toBe("absent");
    const full = { writing: false, held: false, slow: false, text: "The disk is full" };
    expect(seen("journal-not-writing", picture(0, { journal: full }))).toMatchObject({
      presence: "present",
      detail: "The disk is full",
    });
  });

  it("every defined alarm is observed", () => {
    const one = picture(0);
    expect([...observe(definitions, one, remember(null, one)).keys()]).toEqual(
      definitions.map(({ id }) => id),
    );
  });
});
