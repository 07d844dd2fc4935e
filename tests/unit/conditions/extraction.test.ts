import { describe, expect, it } from "vitest";
import { defineChannel } from "../../../station/channels/define.js";
import { viewExtraction } from "../../../station/conditions/extraction.js";
import type { ChannelEntry } from "../../../station/model/channel.js";
import type { Reading } from "../../../station/model/reading.js";
import { channelsOf, good, poor } from "./stock-channels.js";

function view(ids: string[], readings: readonly Reading[]) {
  return viewExtraction(channelsOf(...ids), (id) => readings.find(({ channel }) => channel === id) ?? null);
}

describe("viewExtraction", () => {
  it("knows nothing without a sensor", () => {
    expect(view(["coolant", "lid"], [])).toEqual({
      state: "unknown",
      text: "no extraction sensor is configured",
    });
  });

  it.each([
    { id: "fan", running: 300, stopped: 299, still: "stopped: Fan reads 299 1/min, below 300 1/min" },
    { id: "duct", running: 20, stopped: 19, still: "stopped: Duct reads 19 Pa, below 20 Pa" },
    { id: "air", running: 0.5, stopped: 0.4, still: "stopped: Air reads 0.4 m/s, below 0.5 m/s" },
    { id: "vane", running: 1, stopped: 0, still: "stopped: Vane switch is off" },
  ])("tells running from stopped by $id alone", ({ id, running, stopped, still }) => {
    expect(view([id], [good(id, 1, running)]).state).toBe("running");
    expect(view([id], [good(id, 1, stopped)])).toEqual({ state: "stopped", text: still });
  });

  it("lets one sensor that sees no air moving outweigh a fan that turns", () => {
    const readings = [good("fan", 1, 2400), good("duct", 1, 3), good("vane", 1, 1)];
    expect(view(["fan", "duct", "vane"], readings)).toEqual({
      state: "stopped",
      turns: true,
      text: "moves no air: Fan turns at 2400 1/min, but Duct reads 3 Pa, below 20 Pa",
    });
  });

  it("does not say that the fan turns where it stands, or may not be trusted, or only one of two does", () => {
    const still = { state: "stopped", text: "stopped: Duct reads 3 Pa, below 20 Pa" };
    expect(view(["fan", "duct"], [good("fan", 1, 0), good("duct", 1, 3)])).not.toHaveProperty("turns");
    expect(view(["duct", "fan"], [poor("fan", 1, "edges-lost", 1500), good("duct", 1, 3)])).toEqual(still);
    expect(view(["duct", "fan"], [good("duct", 1, 3)])).toEqual(still);
  });

  it("goes by the good ones where others are dead", () => {
    const readings = [good("fan", 1, 2400), poor("duct", 1, "stale")];
    expect(view(["fan", "duct"], readings)).toEqual({ state: "running", text: "running: Fan 2400 1/min" });
  });

  it("does not take a count too fast to be trusted for a turning fan: a loose wire picks up the mains", () => {
    // 50 Hz at two pulses a revolution.
    expect(view(["fan"], [poor("fan", 1, "edges-lost", 1500)])).toEqual({
      state: "unknown",
      text: "not known: Fan: some pulses may have been missed",
    });
    const readings = [poor("fan", 1, "edges-lost", 1500), good("vane", 1, 1)];
    expect(view(["fan", "vane"], readings).state).toBe("running");
  });

  it.each(["beyond-calibration", "sudden-jump", "sender-marked"] as const)(
    "gives a reading that is uncertain no say: %s",
    (reason) => {
      expect(view(["fan"], [poor("fan", 1, reason, 2400)]).state).toBe("unknown");
    },
  );

  it("does not know where none is good, and says why of each", () => {
    const readings = [poor("fan", 1, "edges-lost", 90), poor("duct", 1, "stale")];
    expect(view(["fan", "duct", "vane"], readings)).toEqual({
      state: "unknown",
      text:
        "not known: Fan: some pulses may have been missed; Duct: no new reading within the expected interval; " +
        "Vane switch: nothing has been read yet",
    });
  });
});

describe("its words, which stand after the word Extraction", () => {
  const text = (entry: Omit<ChannelEntry, "id" | "source">, value: number) =>
    viewExtraction([defineChannel({ id: "a", source: "bench", ...entry })], () => good("a", 1, value)).text;

  it.each([
    [{ kind: "extraction-running" }, 0, "stopped: the extraction switch is off"],
    [{ kind: "extraction-running" }, 1, "running: the extraction switch is on"],
    [{ kind: "extraction-running", name: "Extraction on" }, 0, "stopped: the extraction switch is off"],
    [{ kind: "extraction-running", name: "Extraction" }, 0, "stopped: the extraction switch is off"],
    [{ kind: "extraction-running", name: "Fan running" }, 0, "stopped: Fan is off"],
    [
      { kind: "extraction-running", name: "Extraction air-flow switch" },
      0,
      "stopped: air-flow switch is off",
    ],
    [{ kind: "extraction-speed", running_at: 900 }, 120, "stopped: fan reads 120 1/min, below 900 1/min"],
    [{ kind: "extraction-speed", running_at: 900 }, 2400, "running: fan 2400 1/min"],
    [{ kind: "extraction-speed", name: "Running", running_at: 900 }, 2400, "running: Running 2400 1/min"],
    [{ kind: "extraction-airflow" }, 0.3, "stopped: air speed reads 0.3 m/s, below 0.5 m/s"],
  ] as const)("%o at %d: %s", (entry, value, words) => {
    expect(text(entry, value)).toBe(words);
  });

  it("never reads a value as equal to what it is below", () => {
    expect(text({ kind: "extraction-speed", running_at: 900 }, 899.6)).toContain(
      "reads 899 1/min, below 900",
    );
    expect(text({ kind: "extraction-airflow" }, 0.46)).toContain("reads 0.4 m/s, below 0.5");
    expect(text({ kind: "extraction-airflow", running_at: 0.58 }, 0.57)).toContain(
      "reads 0.5 m/s, below 0.58",
    );
  });
});
