import { mkdirSync } from "node:fs";
import { join } from "node:path";
import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { Board, rigConfig, SysFolder } from "../service/bench-rig.js";
import { type StationProcess, startStation, temporaryFolder } from "../service/station-process.js";
import { openBrowser } from "./chromium.js";

/** Where to put pictures for people to look at; none are taken without it. */
const PICTURES = process.env.ALARM_PICTURES;

describe("the life of an alarm, on the screen", () => {
  const { folder, remove } = temporaryFolder();
  const sys = new SysFolder(folder);
  let board: Board;
  let station: StationProcess;
  let browser: Browser;
  let page: Page;
  const at = (testId: string) => page.getByTestId(testId);
  const picture = async (name: string) => {
    for (const [width, height] of [
      [800, 480],
      [390, 844],
      [1280, 800],
    ] as const) {
      await page.setViewportSize({ width, height });
      // Nothing stands out of the side of any screen.
      expect(
        await page.evaluate(() => document.documentElement.scrollWidth - innerWidth),
        `${name} at ${width}`,
      ).toBeLessThanOrEqual(0);
      if (PICTURES === undefined) continue;
      mkdirSync(PICTURES, { recursive: true });
      const main = page.locator("main");
      const tall = await main.evaluate((element) => element.scrollHeight);
      await page.setViewportSize({ width, height: Math.max(height, tall + 120) });
      await page.screenshot({ path: join(PICTURES, `${name}-${width}.png`) });
    }
    await page.setViewportSize({ width: 800, height: 480 });
  };

  beforeAll(async () => {
    board = await Board.plugIn(folder);
    board.reportEvery(200);
    sys.coolant(25);
    station = await startStation(folder, rigConfig(sys, board), { more: ["--sys-root", sys.root] });
    browser = await openBrowser();
    page = await browser.newPage({ viewport: { width: 800, height: 480 } });
  });
  afterAll(async () => {
    await browser?.close();
    await station?.stop();
    await board?.unplug();
    remove();
  });

  it("shows beside a standing alarm what is behind it, what follows, what to do and how soon", async () => {
    await page.goto(`${station.url}/alarms`);
    const card = at("alarm-coolant-high");
    await card.waitFor();
    for (const words of ["What to do", "Within", "If nothing is done", "Likely cause", "Setpoint"]) {
      await card.getByText(words, { exact: true }).waitFor();
    }
    await picture("standing");
  });

  it("is shelved by keyboard, with a reason, and stays in sight with the time that is left", async () => {
    const shelve = at("shelve-coolant-high");
    await shelve.locator("summary").focus();
    await page.keyboard.press("Enter");
    const press = () => shelve.getByRole("button", { name: "Shelve it" });
    await press().click();
    await shelve.getByText("Expected: why it may be silent for so long").waitFor();
    await shelve.getByLabel("30 min").check();
    await shelve.getByLabel("Why").fill("New fan is on its way");
    await picture("shelving");
    await press().focus();
    await page.keyboard.press("Enter");
    const line = at("suppressed-coolant-high");
    await line.getByText(/shelved, (29|30)\smin left/).waitFor();
    await line.getByText("New fan is on its way").waitFor();
    await line.getByText("What it is for is there now.").waitFor();
    await page.getByText("No alarm is standing.").waitFor();
    await picture("shelved");
    await page.goto(station.url);
    await at("kept-silent")
      .getByText(/Coolant is too warm: shelved/)
      .waitFor();
    await picture("now-shelved");
  });

  it("comes back when it is unshelved, and the log tells who did what", async () => {
    await page.goto(`${station.url}/alarms`);
    await at("suppressed-coolant-high").getByRole("button").click();
    await at("alarm-coolant-high").waitFor();
    await at("alarm-log")
      .getByText(/unshelved|off the shelf/)
      .first()
      .waitFor();
    await at("alarm-log")
      .getByText(/shelved by/)
      .first()
      .waitFor();
  });

  it("is held when its water comes and goes, and says why it stands while all is well", async () => {
    const card = at("alarm-coolant-high");
    sys.coolant(20);
    await card.getByText("gone again, not acknowledged").waitFor();
    sys.coolant(25);
    await card.getByText("gone again, not acknowledged").waitFor({ state: "detached" });
    const mark = card.getByText("Over for now: held until that has lasted ten minutes");
    expect(await mark.count()).toBe(0);
    sys.coolant(20);
    await mark.waitFor();
    await picture("recurring");
    sys.coolant(25);
    await mark.waitFor({ state: "detached" });
  });

  it("is set otherwise on its own page, where the reason and the old value stay", async () => {
    await at("alarm-coolant-high").getByRole("link", { name: "How it is set" }).click();
    await page.getByRole("heading", { name: "Coolant is too warm" }).waitFor();
    await page.getByLabel(/^Setpoint/).fill("15");
    await at("set-alarm").click();
    await page.getByText("Expected: why it is to be so").waitFor();
    await page.getByLabel("Why it is to be so").fill("The maker of the tube allows 24");
    await at("set-alarm").click();
    await page.getByText(/Expected: above the setpoint of coolant-low/).waitFor();
    await picture("setting-refused");
    await page.getByLabel(/^Setpoint/).fill("24");
    await at("set-alarm").click();
    await at("setting-history")
      .getByText(/Setpoint: 21 °C → 24 °C/)
      .waitFor();
    await at("rationalisation").getByText("set here").waitFor();
    await at("rationalisation").getByText("The maker of the tube allows 24").waitFor();
    await picture("setting");
    await page.getByLabel("Why it is to be so").fill("It was too much");
    await at("alarm-to-file").click();
    await at("setting-history")
      .getByText(/Setpoint: 24 °C → 21 °C/)
      .waitFor();
    expect(await at("alarm-to-file").count()).toBe(0);
  });

  it("is taken out of service there, and put back", async () => {
    const service = at("out-of-service");
    await service.locator("summary").click();
    await service.getByLabel("Why").fill("The probe is being moved");
    await service.getByRole("button", { name: "Take it out of service" }).click();
    await at("suppressed-coolant-high")
      .getByText(/out of service for/)
      .waitFor();
    await at("suppressed-coolant-high")
      .getByRole("button", { name: /Put back in service/ })
      .click();
    await service.waitFor();
  });

  it("is counted on the page of figures", async () => {
    await page.goto(`${station.url}/alarms/performance`);
    await at("alarm-rates")
      .getByText(/^\d+ in/)
      .waitFor();
    await at("frequent-Mostfrequent").getByText("Coolant is too warm").waitFor();
    await picture("performance");
    await page.getByLabel("90 days").check();
    await at("alarm-rates").waitFor();
  });
});
