import type { Browser, Page, ViewportSize } from "playwright-core";
import { afterAll, beforeAll } from "vitest";
import { openBrowser } from "./chromium.js";
import { FilledStation } from "./filled-station.js";

/**
 * A filled station for the tests around it, and a page of a browser in which nothing is open yet.
 * @param opened is given the page before the first test
 */
export function onFilledStation(opened: (page: Page) => void, viewport?: ViewportSize): FilledStation {
  const rig = new FilledStation();
  let browser: Browser;
  beforeAll(async () => {
    await rig.fill();
    browser = await openBrowser();
    opened(await browser.newPage(viewport === undefined ? {} : { viewport }));
  });
  afterAll(async () => {
    await browser?.close();
    await rig.end();
  });
  return rig;
}
