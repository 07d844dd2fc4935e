import type { Page } from "playwright-core";
import { describe, expect, it } from "vitest";
import { openScene, SCENES } from "./every-page.js";
import { walk } from "./keyboard-walk.js";
import { onFilledStation } from "./on-filled-station.js";

const SCREENS = [
  { width: 800, height: 480 },
  { width: 390, height: 844 },
];
const NOTHING_WRONG = { unreached: [], unmarked: [], hidden: [], backwards: [] };

describe("every page by Tab alone", () => {
  let page: Page;
  const rig = onFilledStation((opened) => {
    page = opened;
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
