import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { NowSnapshot } from "../../station/model/now.js";
import { DEMO_CHANNELS } from "../../station/sources/bench-simulator/channels.js";
import {
  eventually,
  type StationProcess,
  startStation,
  temporaryFolder,
} from "../service/station-process.js";
import { openBrowser } from "./chromium.js";

/**
 * One cut of four seconds, once the job sheet is there; the extraction runs on for 45 s after it. A look during the watch is made and read
 * before the watch is over, and before the next look is due, on a busy machine too.
 */
const CONFIG = {
  coolant_range: { low: 15, high: 22 },
  runs: { join_gap_s: 0.5 },
  after_cut: { run_on_s: 40, fire_watch_min: 1, look_every_min: 0.2 },
  sources: [
    {
      id: "bench",
      driver: "bench-simulator",
      every_s: 0.5,
      cutting: { first_at_s: 12, every_s: 600_000, for_s: 4 },
    },
  ],
  channels: DEMO_CHANNELS,
};

describe("after a cut of stock that smoulders", () => {
  const { folder, remove } = temporaryFolder();
  let browser: Browser;
  let page: Page;
  let station: StationProcess;
  const watch = async () => (await station.get<NowSnapshot>("/api/now")).afterCut.fireWatch;
  const at = (id: string) => page.getByTestId(id);

  beforeAll(async () => {
    browser = await openBrowser();
    page = await browser.newPage({ viewport: { width: 390, height: 844 } });
    station = await startStation(folder, CONFIG);
    await station.send("PUT", "/api/job-sheet", { material: "3 mm MDF" });
    await page.goto(station.url);
  });
  afterAll(async () => {
    await station?.stop();
    await browser?.close();
    remove();
  });

  it("counts the run-on down, asks for a look, and shows both", async () => {
    await at("run-on-left").waitFor({ timeout: 30_000 });
    await at("fire-watch")
      .getByText(/3 mm MDF can smoulder unseen/)
      .first()
      .waitFor();
    await at("alarm-fire-watch-due").waitFor();
    await at("fire-watch").getByText("Look at the bed and the tray now").waitFor();
  });

  it("shows the watch on every page", async () => {
    await page.goto(`${station.url}/history`);
    await at("fire-watch-notice")
      .getByText(/^Fire watch/)
      .waitFor();
    await at("fire-watch-notice").getByRole("link").click();
    await at("fire-watch").waitFor();
  });

  it("takes a look at a press, by keyboard too, and the alarm is answered with it", async () => {
    await at("fire-watch-look").focus();
    await page.keyboard.press("Enter");
    await at("alarm-fire-watch-due").waitFor({ state: "detached" });
    const { looks, state } = await watch();
    expect([looks, state]).toEqual([1, "watching"]);
    const { alarms } = await station.get<NowSnapshot>("/api/now");
    expect(alarms.filter(({ kind }) => kind.startsWith("fire-watch"))).toEqual([]);
  });

  it("goes on where it was when the plug was pulled", async () => {
    await station.kill();
    station = await startStation(folder, {
      ...CONFIG,
      sources: [{ ...CONFIG.sources[0], cutting: "never" }],
    });
    const taken = await eventually(async () => {
      const seen = await watch();
      return seen.state === "watching" ? seen : null;
    }, "the watch");
    expect(taken).toMatchObject({ looks: 1, material: "3 mm MDF" });
  });

  it("is not over without its last look", async () => {
    await page.goto(station.url);
    await at("fire-watch-left").getByText("one last look").waitFor({ timeout: 75_000 });
    await at("fire-watch-look").click();
    await at("fire-watch").waitFor({ state: "detached" });
    expect((await watch()).state).toBe("none");
  });

  it("says whether the coolant stays for a job, and how good it has been", async () => {
    await at("job-time").getByRole("button", { name: /^20/ }).click();
    await at("job-verdict")
      .getByText(/20.min/)
      .waitFor({ timeout: 75_000 });
    await page.goto(`${station.url}/coolant`);
    await at("forecasts-none").waitFor();
  }, 120_000);
});
