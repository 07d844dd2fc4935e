import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { NowSnapshot } from "../../station/model/now.js";
import { DEMO_CHANNELS } from "../../station/sources/bench-simulator/channels.js";
import { eventually, type StationProcess, startStation, temporaryFolder } from "./station-process.js";

/** A cut of a minute, in which a damper falls shut for half of it while the fan goes on turning; ten times as fast as it is. */
const CONFIG = {
  coolant_range: { low: 15, high: 22 },
  runs: { join_gap_s: 1 },
  alarms: { "extraction-no-air": { off_delay_s: 1 } },
  sources: [
    {
      id: "bench",
      driver: "bench-simulator",
      every_s: 0.2,
      time_factor: 4,
      cutting: { first_at_s: 12, every_s: 600_000, for_s: 80 },
      faults: [{ fault: "duct-blocked", at_s: 30, for_s: 40 }],
    },
  ],
  channels: DEMO_CHANNELS,
};

describe("a fan that turns and moves no air", () => {
  const { folder, remove } = temporaryFolder();
  let station: StationProcess;
  const now = () => station.get<NowSnapshot>("/api/now");

  beforeAll(async () => {
    station = await startStation(folder, CONFIG);
  });
  afterAll(async () => {
    await station?.stop();
    remove();
  });

  it("raises its own alarm in a cut, and not the one that sends people to the switch", async () => {
    // All of it at one moment: the damper opens again by itself.
    const seen = await eventually(async () => {
      const each = await now();
      return each.alarms.some(({ kind }) => kind === "extraction-no-air") ? each : null;
    }, "the alarm");
    const { alarms, extraction, readiness } = seen;
    const raised = alarms.find(({ kind }) => kind === "extraction-no-air");
    expect(raised).toMatchObject({ priority: "urgent", state: "unacknowledged" });
    expect(raised?.detail).toMatch(
      /^Extraction moves no air: fan speed turns at \d+ 1\/min, but (air speed reads|air-flow switch is off)/,
    );
    expect(alarms.map(({ kind }) => kind)).not.toContain("extraction-stopped");
    expect(extraction).toMatchObject({ state: "stopped", turns: true });
    expect(readiness.fitness).toBe("not-fit");
    expect(readiness.checks.find(({ subject }) => subject === "extraction")?.text).toContain(
      "Look at the damper",
    );
  });

  it("returns when the damper opens", async () => {
    await eventually(async () => {
      const found = (await now()).alarms.find(({ kind }) => kind === "extraction-no-air");
      return found?.state === "returned-unacknowledged";
    }, "its return");
  });

  it("has a run-on after it, and somebody is asked what was cut", async () => {
    const { afterCut } = await eventually(async () => {
      const seen = await now();
      return seen.afterCut.runOn.state === "clearing" || seen.afterCut.runOn.state === "cut-short"
        ? seen
        : null;
    }, "the end of the cut");
    expect(afterCut.runOn.leftS).toBeGreaterThan(0);
    expect(afterCut.fireWatch).toMatchObject({ state: "none", offered: true });
    const begun = await station.send("POST", "/api/fire-watch", {});
    expect(begun).toMatchObject({ status: 201, body: { fireWatch: { state: "watching" } } });
  });
});
