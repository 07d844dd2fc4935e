import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { demoConfig, readConfig } from "../../station/config.js";
import { AppError } from "../../station/errors.js";

const GOOD = `
coolant_range: { low: 15, high: 22 }
sources:
  - id: probe
    driver: kernel-1-wire
    device: 28-000000005a01
channels:
  - id: coolant-in
    kind: coolant-inlet
    source: probe
`;

function refusal(text: string): string {
  try {
    readConfig(text, "station.yaml");
  } catch (error) {
    if (error instanceof AppError) return error.message;
    throw error;
  }
  throw new Error("it was taken");
}

describe("station.yaml", () => {
  it("takes a small one and fills in the rest", () => {
    const config = readConfig(GOOD, "station.yaml");
    expect(config.web).toEqual({ host: "127.0.0.1", port: 8080, names: [], behind_proxy: false });
    expect(config.channels[0]).toMatchObject({ id: "coolant-in", unit: "Cel", source: "probe", point: null });
  });

  it("expects a channel as often as its source reads, where nothing else is said", () => {
    const slow = GOOD.replace("device: 28-000000005a01", "device: 28-000000005a01\n    every_s: 30");
    expect(readConfig(slow, "station.yaml").channels[0]).toMatchObject({
      expectedEveryS: 30,
      staleAfterS: 90,
    });
  });

  it("is frozen all the way down", () => {
    const config = readConfig(GOOD, "station.yaml");
    expect(() => Object.assign(config.coolant_range, { low: 0 })).toThrow(TypeError);
    expect(() => Object.assign(config.channels[0] ?? {}, { kind: "laser-on" })).toThrow(TypeError);
  });

  it.each([
    [
      "a wrong kind",
      GOOD.replace("coolant-inlet", "coolant-inlett"),
      /line 9, channels\[0\]\.kind: found "coolant-inlett"; expected one of "coolant-inlet"/,
    ],
    [
      "a setting that is not there",
      `${GOOD}    colour: red\n`,
      /line 11, channels\[0\]\.colour: found "red"; expected no such setting here/,
    ],
    [
      "a missing section",
      GOOD.replace(/^coolant_range.*$/m, ""),
      /coolant_range: found nothing; expected a section of settings/,
    ],
    [
      "a range upside down",
      GOOD.replace("low: 15", "low: 25"),
      /line 2, coolant_range: found \{"low":25,"high":22\}; expected low below high/,
    ],
    [
      "a source that is not there",
      GOOD.replace("source: probe", "source: prob"),
      /line 10, channels\[0\]\.source: found "prob"; expected the id of one of the sources: "probe"/,
    ],
    [
      "a line that two hold",
      GOOD.replace(
        "channels:",
        "  - { id: beam, driver: digital-input, line: 17 }\noutput_pin: { line: 17 }\nchannels:",
      ),
      /line 8, output_pin\.line: found 17; expected a line of its own: source "beam" has this one/,
    ],
    [
      "a unit that the kind does not have",
      `${GOOD}    unit: Pa\n`,
      /line 11, channels\[0\]\.unit: found "Pa"; expected a channel of kind coolant-inlet is in Cel/,
    ],
    [
      "a channel that is expected more often than its source reads",
      GOOD.replace("device: 28-000000005a01", "device: 28-000000005a01\n    every_s: 30").concat(
        "    expected_every_s: 2\n",
      ),
      /line 12, channels\[0\]\.expected_every_s: found 2; expected at least the 30 s at which its source reads/,
    ],
    [
      "a point that the source does not read",
      `${GOOD}    point: humidity\n`,
      /line 11, channels\[0\]\.point: found "humidity"; expected one of what the source reads: "temperature"/,
    ],
    [
      "a board's channel without the name of its reading",
      GOOD.replace("driver: kernel-1-wire", "driver: serial").replace(
        "device: 28-000000005a01",
        "path: /dev/ttyUSB0",
      ),
      /line 8, channels\[0\]\.point: found nothing; expected the name that the board gives this reading/,
    ],
    [
      "an unknown driver",
      GOOD.replace("kernel-1-wire", "wire"),
      /line 5, sources\[0\]\.driver: found "wire"; expected one of .*"kernel-1-wire"/,
    ],
    [
      "a number as text",
      GOOD.replace("high: 22", "high: warm"),
      /line 2, coolant_range\.high: found "warm"; expected a number/,
    ],
    [
      "a rule of keeping that would leave no month of readings",
      `${GOOD}journal: { keep_full_resolution_days: 7 }\n`,
      /line 11, journal\.keep_full_resolution_days: found 7; expected at least 30/,
    ],
    [
      "an id used twice",
      `${GOOD}  - id: coolant-in\n    kind: coolant-outlet\n    source: probe\n`,
      /line 11, channels\[1\]\.id: found "coolant-in"; expected an id that is used once; entry 1 has it too/,
    ],
    ["text that is not YAML", "a: [1, 2", /line 1, \(file\): found text that is not YAML/],
    [
      "alarms that contradict each other",
      `${GOOD}alarms:\n  coolant-high: { setpoint: 10 }\n`,
      /line 12, alarms\.coolant-high\.setpoint: found 10; expected above the setpoint of coolant-low/,
    ],
    ["an alias that leads nowhere", "station: *nowhere\n", /found an alias that leads nowhere/],
    ["an empty file", "", /coolant_range: found nothing/],
    [
      "a list where a section belongs",
      "- 1\n- 2\n",
      /line 1, \(file\): found \[1,2\]; expected a section of settings/,
    ],
  ])("says of %s the line, the path, what was found and what was expected", (_what, text, words) => {
    expect(refusal(text)).toMatch(words);
  });

  it("names every fault at once", () => {
    const message = refusal(GOOD.replace("low: 15", "low: x").replace("coolant-inlet", "nothing"));
    expect(message).toContain("2 faults");
    expect(message).toContain("the station does not start half");
  });

  it("takes the simulated bench's own configuration", () => {
    expect(demoConfig().sources).toHaveLength(1);
  });

  it("gives a configuration or an AppError for any text at all", () => {
    fc.assert(
      fc.property(fc.string({ maxLength: 300 }), (text) => {
        try {
          readConfig(text, "x.yaml");
        } catch (error) {
          expect(error).toBeInstanceOf(AppError);
        }
      }),
      { numRuns: 500 },
    );
  });
});
