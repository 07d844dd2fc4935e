import type { Browser, BrowserContext, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { NowSnapshot, RunRow } from "../../station/model/now.js";
import { sealFrame } from "../../station/sources/serial/frame.js";
import { Board, rigConfig, SysFolder } from "../service/bench-rig.js";
import {
  eventually,
  type StationProcess,
  startStation,
  temporaryFolder,
} from "../service/station-process.js";
import { openBrowser } from "./chromium.js";

const NASTY = '<script>window.hacked=1</script><img src=x onerror="window.hacked=1">';

describe("the pages on a real browser, over the built station and real input", () => {
  const { folder, remove } = temporaryFolder();
  const sys = new SysFolder(folder);
  let board: Board;
  let station: StationProcess;
  let browser: Browser;
  let context: BrowserContext;
  let page: Page;
  const complaints: string[] = [];
  const at = (id: string) => page.getByTestId(id);
  const start = async (port?: number) => {
    const base = rigConfig(sys, board) as { channels: { id: string; name?: string }[] };
    const channels = base.channels.map((each) =>
      each.id === "room-t" ? { ...each, name: NASTY.slice(0, 60) } : each,
    );
    station = await startStation(
      folder,
      { ...base, channels },
      { more: ["--sys-root", sys.root], ...(port === undefined ? {} : { port }) },
    );
  };

  beforeAll(async () => {
    board = await Board.plugIn(folder);
    board.reportEvery(200);
    await start();
    browser = await openBrowser();
    context = await browser.newContext({ viewport: { width: 800, height: 480 } });
    page = await context.newPage();
    page.on("pageerror", (error) => complaints.push(error.message));
    page.on("console", (message) => {
      // A page that has lost the station keeps trying, and the browser tells of each try.
      if (
        message.type() === "error" &&
        !/ERR_CONNECTION|WebSocket|502|Failed to load resource/.test(message.text())
      )
        complaints.push(message.text());
    });
    await page.goto(station.url);
  });
  afterAll(async () => {
    await browser?.close();
    await station?.stop();
    await board?.unplug();
    remove();
  });

  it("shows the coolant, the margin, the extraction and that it is fit to cut", async () => {
    await at("coolant-value").getByText("18.5").waitFor();
    await at("fitness")
      .getByText(/Fit to cut/)
      .first()
      .waitFor();
    await at("extraction")
      .getByText(/running/i)
      .first()
      .waitFor();
    await at("margin").getByText("10.8").waitFor();
    expect(await at("simulated").count()).toBe(0);
    const box = await at("coolant-value").boundingBox();
    expect(box?.height).toBeGreaterThanOrEqual(100);
  });

  it("keeps everything vital on the 800 by 480 screen without scrolling, with targets for wet fingers", async () => {
    for (const id of ["coolant-value", "fitness", "extraction", "margin", "run-begin"]) {
      const box = await at(id).boundingBox();
      expect(box, id).not.toBeNull();
      if (box === null) continue;
      expect(box.y, id).toBeGreaterThanOrEqual(0);
      expect(box.y + box.height, id).toBeLessThanOrEqual(480);
      expect(box.x + box.width, id).toBeLessThanOrEqual(800);
    }
    const buttons = await page.getByRole("button").all();
    for (const button of buttons) {
      const box = await button.boundingBox();
      if (box !== null) expect(box.height, (await button.textContent()) ?? "").toBeGreaterThanOrEqual(48);
    }
  });

  it("runs a cut from the screen: job sheet, warm coolant, extraction lost, alarm, acknowledgement, return, stamp", async () => {
    await at("job-sheet").click();
    await page.getByLabel(/Material/).fill(NASTY);
    await page.getByLabel(/^Power/).fill("60");
    await page.getByLabel(/^Speed/).fill("12.5");
    await at("job-sheet-keep").click();
    await at("job-sheet-panel").waitFor({ state: "detached" });
    await at("run-begin").click();
    await at("run-end").waitFor();

    sys.coolant(21.5);
    await at("coolant-value").getByText("21.5").waitFor();
    await at("fitness")
      .getByText(/Not fit to cut/)
      .first()
      .waitFor();
    await at("alarm-coolant-high").waitFor();
    board.fan = 0;
    board.report();
    await at("alarm-extraction-stopped").waitFor();
    await at("ack-extraction-stopped").click();
    await at("ack-extraction-stopped").waitFor({ state: "detached" });
    await at("alarm-extraction-stopped").getByText("Acknowledged", { exact: true }).waitFor();
    board.fan = 1500;
    board.report();
    await at("alarm-extraction-stopped").waitFor({ state: "detached" });
    sys.coolant(19);
    await at("coolant-value").getByText("19.0").waitFor();
    await at("run-end").click();
    await at("run-begin").waitFor();

    await page.getByRole("link", { name: "Runs" }).click();
    await at("run-row-1").waitFor();
    await at("run-row-1").click();
    await at("stamp-table").waitFor();
    await at("flag-coolant-out-of-range").waitFor();
    await page.getByText(/above 21 °C for .* up to 21.5 °C \(0.5 °C over\)/).waitFor();
    await at("flag-extraction-stopped").waitFor();
    await page.getByText(NASTY).first().waitFor();
    expect(await at("stamp-table").textContent()).toContain("21.5");
    await page.getByTestId("chart-coolant-in").locator("canvas").waitFor();
  });

  it("shows the names and materials people type as text, and runs none of it", async () => {
    expect(await page.evaluate(() => "hacked" in window)).toBe(false);
    await page.getByRole("link", { name: "Now" }).click();
    await page.getByText(NASTY.slice(0, 60)).first().waitFor();
    expect(await page.evaluate(() => "hacked" in window)).toBe(false);
  });

  it("says that sound is withheld until the page is touched, and sounds after that", async () => {
    const fresh = await context.newPage();
    await fresh.goto(station.url);
    await fresh.getByTestId("coolant-value").waitFor();
    await fresh.getByTestId("sound-withheld").waitFor();
    await fresh.getByTestId("sound-withheld").click();
    await fresh.getByTestId("sound-withheld").waitFor({ state: "detached" });
    await fresh.close();
  });

  it("shows a dead probe as dead, never as its last value", async () => {
    sys.coolantFails();
    await at("alarm-sensor-dead:coolant-in").first().waitFor();
    await at("fitness")
      .getByText(/Cannot tell/)
      .first()
      .waitFor();
    expect(await at("coolant-value").textContent()).not.toMatch(/\d/);
    sys.coolant(18);
    await at("coolant-value").getByText("18.0").waitFor();
  });

  it("lists the alarms with their log and the set alarms, and the cautions with their sources", async () => {
    await page.getByRole("link", { name: "Alarms" }).click();
    await at("alarm-log")
      .getByText(/Extraction has stopped/)
      .first()
      .waitFor();
    await page.getByRole("link", { name: "Safety" }).click();
    await page
      .getByText(/adviser/i)
      .first()
      .waitFor();
    await page.getByText(/EH40/).first().waitFor();
  });

  it("says that it has lost the station, over everything, and comes back by itself on another start of it", async () => {
    await page.getByRole("link", { name: "Now" }).click();
    await at("coolant-value").getByText("18.0").waitFor();
    const { start: before } = await station.get<NowSnapshot>("/api/now");
    const port = Number(new URL(station.url).port);
    await station.kill();
    await at("lost-station").waitFor();
    await at("lost-station")
      .getByText(/No word from the station since/)
      .waitFor();
    sys.coolant(17);
    await start(port);
    await at("lost-station").waitFor({ state: "detached" });
    await at("coolant-value").getByText("17.0").waitFor();
    const { start: after } = await station.get<NowSnapshot>("/api/now");
    expect(after).not.toBe(before);
    await page.getByRole("link", { name: "Runs" }).click();
    await at("run-row-1").waitFor();
  });

  it("closes a run that the kill cut short, and the open page shows it", async () => {
    await page.getByRole("link", { name: "Now" }).click();
    await at("run-begin").click();
    await at("run-end").waitFor();
    const id = (
      await eventually(async () => (await station.get<NowSnapshot>("/api/now")).run, "the open run")
    ).id;
    const port = Number(new URL(station.url).port);
    await station.kill();
    await at("lost-station").waitFor();
    await start(port);
    await at("lost-station").waitFor({ state: "detached" });
    await at("run-begin").waitFor();
    await page.goto(`${station.url}/runs/${id}`);
    await at("flag-interrupted").waitFor();
    await page.getByText(/broke off during this run/).waitFor();
    const { runs } = await station.get<{ runs: RunRow[] }>("/api/runs");
    expect(runs.map(({ number }) => number)).toEqual([2, 1]);
  });

  it("tells that a board began anew by its watchdog, and why", async () => {
    await page.goto(station.url);
    await at("run-begin").waitFor();
    expect(await page.getByText(/began anew/).count()).toBe(0);
    board.write(sealFrame('[{"n":"reset","vs":"watchdog"},{"n":"seq","v":0}]'));
    await page.getByText(/^board began anew .* ago\.$/).waitFor();
    await page.getByText(/its program hung, and its watchdog started it again\./).waitFor();
  });

  it("made the browser complain of nothing", () => {
    expect(complaints).toEqual([]);
  });
});
