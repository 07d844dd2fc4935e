import { describe, expect, it } from "vitest";
import { viewExtraction } from "../../../station/conditions/extraction.js";
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
      text: "stopped: Duct reads 3 Pa, below 20 Pa",
    });
  });

  it("goes by the good ones where others are dead", () => {
    const readings = [good("fan", 1, 2400), poor("duct", 1, "stale")];
    expect(view(["fan", "duct"], readings)).toEqual({ state: "running", text: "running: Fan 2400 1/min" });
  });

  it("does not know where none is good, and says why of each", () => {
    const readings = [poor("fan", 1, "edges-lost", 900), poor("duct", 1, "stale")];
    expect(view(["fan", "duct", "vane"], readings)).toEqual({
      state: "unknown",
      text:
        "not known: Fan: some pulses may have been missed; Duct: no new reading within the expected interval; " +
        "Vane switch: nothing has been read yet",
    });
  });
});
