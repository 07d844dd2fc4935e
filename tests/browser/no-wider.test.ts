import { randomUUID } from "node:crypto";
import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { fromPhone } from "../unit/trials/photos/pictures.js";
import { LOTS, lotFacts } from "../unit/trials/plan-bench.js";
import { openBrowser } from "./chromium.js";
import { GradingRig } from "./grading-rig.js";

const SCREENS = [
  { name: "the screen on the wall", width: 800, height: 480 },
  { name: "a phone", width: 390, height: 844 },
];
/** As somebody may name it who joins words: nothing in it says where it may be broken. */
const LONG = "Quayside_medium_density_board_standard_3mm_bundle_of_twenty_five_sheets_light";

describe("no page is wider than its screen", () => {
  const rig = new GradingRig();
  let browser: Browser;
  let page: Page;
  let pages: readonly string[];

  beforeAll(async () => {
    await rig.begin(["through", "press_out_N"], 3);
    await rig.done("PUT", `/api/lots/${LOTS[0]}`, {
      facts: lotFacts({
        product: LONG,
        note: LONG,
        thickness_mm: [2.98, 3.02, 3.01],
        sheet_length_mm: 600,
        sheet_width_mm: 400,
        sheet_price: 4.5,
      }),
    });
    const [cut] = await rig.specimens();
    const [code, run] = [cut?.code ?? "", cut?.runs[0]?.id ?? ""];
    const answer = await fetch(`${rig.station.url}/api/photos?entry=${randomUUID()}&subject=${code}&note=`, {
      method: "POST",
      headers: { "content-type": "image/jpeg" },
      body: new Uint8Array(await fromPhone()),
    });
    const { sha256 } = (await answer.json()) as { sha256: string };
    await rig.done("PATCH", `/api/runs/${run}/settings`, { material: LONG, note: LONG });
    pages = [
      ...["/", "/runs", `/runs/${run}`, "/history", "/alarms", "/safety", "/journal", "/past-runs"],
      ...["/plans", "/plans/new", `/plans/${rig.plan}`, `/plans/${rig.plan}/labels`],
      ...[`/plans/${rig.plan}/decision`, "/lots", "/lots/new", `/lots/${LOTS[0]}`],
      ...[`/settings-sheet/${LOTS[0]}`, "/workshop", "/grey-card"],
      ...["/review", "/review/materials", "/review/drift", "/review/method"],
      ...["/grade", `/s/${code}`, `/s/${code}/photo/${sha256}`, "/nonsense", "/plans/nonsense"],
      ...["/access", "/deeds", "/sign-in", "/pin", "/pair#x"],
    ];
    browser = await openBrowser();
    page = await browser.newPage();
  });
  afterAll(async () => {
    await browser?.close();
    await rig.end();
  });

  /** By how much something of the page goes beyond what its width is; what scrolls in a frame of its own does not count. */
  const overhang = () =>
    page.evaluate(() => {
      for (const details of document.querySelectorAll("details")) details.open = true;
      const main = document.querySelector("main");
      return [document.scrollingElement, main].map((each) =>
        each === null ? null : each.scrollWidth - each.clientWidth,
      );
    });

  it.each(SCREENS)("on $name", async ({ width, height }) => {
    await page.setViewportSize({ width, height });
    const wide: unknown[] = [];
    for (const path of pages) {
      await page.goto(`${rig.station.url}${path}`);
      await page.locator("main h1, main h2").first().waitFor({ state: "attached" });
      await page.waitForLoadState("networkidle");
      const over = await overhang();
      if (over.some((by) => by !== 0)) wide.push([path, ...over]);
    }
    expect(wide).toEqual([]);
  });

  it("and no table is wider than paper, which cannot be moved", async () => {
    // The width of A4 between its margins of 14 mm, at CSS's 96 pixels to the inch.
    await page.setViewportSize({ width: Math.floor((182 / 25.4) * 96), height: 1000 });
    const tables = () =>
      page
        .locator(".wide-table")
        .evaluateAll((all) => all.map((each) => each.scrollWidth - each.clientWidth));
    await page.goto(`${rig.station.url}/plans/${rig.plan}/decision`);
    await page.getByTestId("conclusions").waitFor();
    await page.emulateMedia({ media: "print" });
    const decided = await tables();
    expect(decided.length).toBeGreaterThan(1);
    expect(decided).toEqual(decided.map(() => 0));
    await page.emulateMedia({ media: "screen" });
    await page.goto(`${rig.station.url}/plans/${rig.plan}/labels`);
    await page.getByRole("button", { name: "Cutting sheet" }).click();
    await page.emulateMedia({ media: "print" });
    expect(await tables()).toEqual([0, 0]);
    await page.emulateMedia({ media: "screen" });
  });
});
