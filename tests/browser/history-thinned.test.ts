import { join } from "node:path";
import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { createThinner } from "../../station/journal/thinning/thinner.js";
import { createWriter } from "../../station/journal/writer.js";
import { STAMP_REACH } from "../../station/retention.js";
import { type StationProcess, startStation, temporaryFolder } from "../service/station-process.js";
import {
  channel,
  columnsOf,
  reading,
  seal,
  sessionStart,
  WALL,
  writerBench,
} from "../unit/journal/samples.js";
import { openBrowser } from "./chromium.js";

const HOUR = 3_600_000;

describe("the page History over readings that were thinned", () => {
  const { folder, remove } = temporaryFolder();
  let station: StationProcess;
  let browser: Browser;
  let page: Page;

  beforeAll(async () => {
    const bench = writerBench(sessionStart(), () => 0, join(folder, "journal"));
    bench.put([], { name: "channelsDefined", params: [channel("coolant-in")] });
    for (let from = 0; from < 3 * HOUR; from += 600_000) {
      bench.put(
        Array.from({ length: 600 }, (_, i) => reading("coolant-in", from + 1000 * i, 18 + (i % 48) / 16)),
      );
    }
    // Of two days later, so that nothing of them is a row any more; of the sealed hours the first is thinned.
    const later = createWriter(bench.db, sessionStart({ start: "later", bootId: "boot-2" }), () => 0);
    later.commit({ number: 1, readings: columnsOf([reading("coolant-in", 48 * HOUR)]), action: null });
    seal(bench.db);
    const thinner = createThinner(bench.db);
    thinner.order({ beforeWall: WALL + 2.5 * HOUR, reach: STAMP_REACH });
    while (thinner.step());
    bench.db.close();
    station = await startStation(folder, null);
    browser = await openBrowser();
    page = await browser.newPage({ viewport: { width: 800, height: 480 } });
  });
  afterAll(async () => {
    await browser?.close();
    await station?.stop();
    remove();
  });

  const open = async (from: number, to: number) => {
    const iso = (ms: number) => new Date(WALL + ms).toISOString();
    await page.goto(`${station.url}/history?from=${iso(from)}&to=${iso(to)}&channels=coolant-in`);
    await page.getByTestId("charts").locator("canvas").first().waitFor();
    await page.locator(".history-stage[aria-busy=false]").waitFor();
  };

  it("draws their minutes where it is zoomed in further, and says so", async () => {
    await open(0, 600_000);
    await page.getByTestId("history-thinned").waitFor();
    expect(await page.getByTestId("history-thinned").textContent()).toMatch(
      /thinned by the rule of keeping in station\.yaml: where they went, their minutes are drawn/,
    );
    expect(await page.getByTestId("panel-Cel").textContent()).toMatch(/18\.0\s°C to 20\.9\s°C/);
    expect(await page.evaluate(() => document.documentElement.scrollWidth <= window.innerWidth)).toBe(true);
  });

  it("says nothing of it where all readings are there, and where minutes are as fine as can be drawn", async () => {
    await open(90 * 60_000, 100 * 60_000);
    expect(await page.getByTestId("panel-Cel").textContent()).toMatch(/18\.0\s°C to 20\.9\s°C/);
    expect(await page.getByTestId("history-thinned").count()).toBe(0);
    await open(-60 * HOUR, 40 * HOUR);
    expect(await page.getByTestId("panel-Cel").textContent()).toMatch(/18\.0\s°C to 20\.9\s°C/);
    expect(await page.getByTestId("history-thinned").count()).toBe(0);
  });
});
