import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { NowSnapshot, RunRow } from "../../station/model/now.js";
import type { Run } from "../../station/model/run.js";
import { DEMO_CHANNELS } from "../../station/sources/bench-simulator/channels.js";
import {
  eventually,
  type StationProcess,
  startStation,
  temporaryFolder,
} from "../service/station-process.js";
import { openBrowser } from "./chromium.js";

describe("the simulated bench", () => {
  const { folder, remove } = temporaryFolder();
  let browser: Browser;
  let page: Page;
  let station: StationProcess;

  beforeAll(async () => {
    browser = await openBrowser();
    page = await browser.newPage({ viewport: { width: 390, height: 844 } });
  });
  afterAll(async () => {
    await browser?.close();
    remove();
  });

  it("is what shows where no configuration is given, and says so on every page", async () => {
    station = await startStation(folder, null);
    await page.goto(station.url);
    await page
      .getByTestId("coolant-value")
      .getByText(/\d\d\.\d/)
      .waitFor();
    for (const name of ["Now", "Runs", "History", "Alarms", "Safety"]) {
      await page.getByRole("link", { name, exact: false }).first().click();
      await page.getByRole("heading", { name, level: 1 }).waitFor({ state: "attached" });
      await page.getByTestId("simulated").getByText("SIMULATED").waitFor();
    }
    await station.stop();
  });

  it("plays its scripted faults through the real path: alarms rise and return, runs are stamped and marked", async () => {
    station = await startStation(folder, {
      coolant_range: { low: 15, high: 22 },
      runs: { join_gap_s: 1 },
      alarms: { "sensor-dead": { on_delay_s: 0 }, "extraction-stopped": { on_delay_s: 0 } },
      sources: [
        {
          id: "bench",
          driver: "bench-simulator",
          every_s: 0.2,
          time_factor: 10,
          cutting: { first_at_s: 20, every_s: 120, for_s: 60 },
          faults: [
            { fault: "fan-stops", at_s: 40, for_s: 30 },
            { fault: "probe-unplugged", point: "coolant-inlet", at_s: 60, for_s: 15 },
          ],
        },
      ],
      channels: DEMO_CHANNELS,
    });
    await page.goto(station.url);
    await page.getByTestId("alarm-extraction-stopped").waitFor();
    await page.getByTestId("alarm-sensor-dead:coolant-in").waitFor();
    const row = await eventually(async () => {
      const { runs } = await station.get<{ runs: RunRow[] }>("/api/runs");
      // The first: the bench goes on cutting, and its faults are of that one.
      return runs.find(({ number, endWall }) => number === 1 && endWall !== null);
    }, "the first run to have ended");
    const run = await station.get<Run>(`/api/runs/${row.id}`);
    expect(run).toMatchObject({ simulated: true, cause: "laser-on", endCause: "laser-on" });
    expect(run.stamp?.simulated).toBe(true);
    expect(run.stamp?.flags.map(({ flag }) => flag)).toEqual(
      expect.arrayContaining(["extraction-stopped", "simulated"]),
    );
    await eventually(async () => {
      const { alarms } = await station.get<NowSnapshot>("/api/now");
      return alarms.every(({ state }) => state === "returned-unacknowledged");
    }, "the alarms' return");
    await page.goto(`${station.url}/runs/${row.id}`);
    await page.getByTestId("flag-simulated").waitFor();
    await station.stop();
  });
});
