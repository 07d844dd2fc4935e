import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { openBrowser } from "./chromium.js";
import { openScene, SCENES } from "./every-page.js";
import { FilledStation } from "./filled-station.js";
import { walk } from "./keyboard-walk.js";

const SCREENS = [
  { width: 800, height: 480 },
  { width: 390, height: 844 },
];
const NOTHING_WRONG = { unreached: [], unmarked: [], hidden: [], backwards: [] };

describe("every page by Tab alone", () => {
  const rig = new FilledStation();
  let browser: Browser;
  let page: Page;

  beforeAll(async () => {
    await rig.fill();
    browser = await openBrowser();
    page = await browser.newPage();
  });
  afterAll(async () => {
    await browser?.close();
    await rig.end();
  });

  it.each(SCENES)("$name: all is reached and seen to be, in the order of the page", async (scene) => {
    for (const screen of SCREENS) {
      await page.setViewportSize(screen);
      await openScene(page, rig.station.url, scene, rig.facts);
      const { stops, ...wrong } = await walk(page);
      expect([screen.width, wrong]).toEqual([screen.width, NOTHING_WRONG]);
      expect(stops).toBeGreaterThan(0);
    }
  });
});
