import { readFileSync } from "node:fs";
import { join } from "node:path";
import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import {
  eventually,
  type StationProcess,
  startStation,
  temporaryFolder,
} from "../service/station-process.js";
import { openBrowser } from "./chromium.js";
import { type Filled, fillJournal } from "./filled-journal.js";

const HOUR = 3_600_000;
const DAY = 24 * HOUR;

describe("a copy to take along, from the page Journal", () => {
  const { folder, remove } = temporaryFolder();
  let past: Filled;
  let station: StationProcess;
  let browser: Browser;
  let page: Page;

  beforeAll(async () => {
    past = fillJournal(folder, Math.floor(Date.now() / HOUR) * HOUR - 2 * HOUR);
    station = await startStation(folder, null);
    browser = await openBrowser();
    const context = await browser.newContext({
      viewport: { width: 800, height: 480 },
      timezoneId: "UTC",
    });
    page = await context.newPage();
    // A copy that is taken before the journal was looked through says so in its name.
    await eventually(async () => {
      const { soundness } = await station.get<{ soundness: { state: string } }>("/api/journal");
      return soundness.state === "sound";
    }, "the journal to have been looked through");
    await page.goto(`${station.url}/journal`);
  });
  afterAll(async () => {
    await browser?.close();
    await station?.stop();
    remove();
  });

  const saved = async (press: () => Promise<unknown>) => {
    const [download] = await Promise.all([page.waitForEvent("download"), press()]);
    const file = join(folder, download.suggestedFilename());
    await download.saveAs(file);
    return { name: download.suggestedFilename(), content: readFileSync(file) };
  };

  it("saves the readings of a day, by the keyboard", async () => {
    const day = new Date(past.from + DAY).toISOString().slice(0, 10);
    await page.getByLabel("First day").fill(day);
    await page.getByLabel("Last day").fill(day);
    const button = page.getByTestId("save-readings");
    await button.focus();
    const { name, content } = await saved(() => page.keyboard.press("Enter"));
    expect(name).toMatch(/^readings-\d{8}T000000Z-\d{8}T000000Z\.csv$/);
    const rows = content.toString().split("\r\n").slice(1, -1);
    // Of the three days that there are, the one after the first is whole but for the hour of the gap.
    const start = Date.parse(`${day}T00:00:00Z`);
    const missing = Math.max(0, Math.min(past.gap.to, start + DAY) - Math.max(past.gap.from, start));
    expect(rows).toHaveLength((2 * (DAY - missing)) / 1000);
    expect(rows.every((row) => row.startsWith(day))).toBe(true);
    await page.locator("[data-testid=save-readings][aria-disabled=false]").waitFor();
  });

  it("saves the whole journal as one file of SQLite", async () => {
    const { name, content } = await saved(() => page.getByTestId("save-journal").click());
    expect(name).toMatch(/^journal-\d{4}-\d\d-\d\dT\d{6}Z\.sqlite$/);
    expect(content.subarray(0, 15).toString()).toBe("SQLite format 3");
    await page.locator("[data-testid=save-journal][aria-disabled=false]").waitFor();
  });

  it("says that another one is being sent, and begins none", async () => {
    const leaving = new AbortController();
    const other = await fetch(`${station.url}/api/exports/readings.csv`, { signal: leaving.signal });
    expect(other.status).toBe(200);
    await page.getByTestId("save-readings").click();
    await page.getByText("Another export is being sent. Wait until it is done").waitFor();
    leaving.abort();
  });

  it("takes no day before the first, and is not wider than any screen", async () => {
    await page.getByLabel("Last day").fill("2020-01-01");
    await page.getByText("The last day is before the first.").waitFor();
    for (const [width, height] of [
      [800, 480],
      [390, 844],
      [1440, 900],
    ] as const) {
      await page.setViewportSize({ width, height });
      const overhang = await page.evaluate(
        () => document.documentElement.scrollWidth - document.documentElement.clientWidth,
      );
      expect(overhang, `${width} wide`).toBeLessThanOrEqual(0);
      const box = await page.getByTestId("save-readings").boundingBox();
      expect(box?.height ?? 0).toBeGreaterThanOrEqual(44);
      const shots = process.env.SHOTS;
      if (shots !== undefined)
        await page.screenshot({ path: join(shots, `exports-${width}.png`), fullPage: true });
    }
  });
});
