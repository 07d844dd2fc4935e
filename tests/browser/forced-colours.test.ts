import type { Page } from "playwright-core";
import { describe, expect, it } from "vitest";
import { openScene, SCENES } from "./every-page.js";
import { walk } from "./keyboard-walk.js";
import { onFilledStation } from "./on-filled-station.js";

const LOOKED_AT = ["/", "/runs", "/alarms", "/history", "/plans/:id/decision", "two stocks"];
const SCHEMES = ["light", "dark"] as const;
const scenes = SCENES.filter(({ name }) => LOOKED_AT.includes(name));
const history = SCENES.find(({ name }) => name === "/history");
const pairs = SCHEMES.flatMap((theme) => SCHEMES.map((colorScheme) => ({ theme, colorScheme })));

/**
 * Contrast of what stands out most on a page's first chart against the ground of the page; 1 for a chart that cannot be seen.
 * By the relative luminance of WCAG 2.2.
 */
function contrastOfChart(): number {
  const luminance = ([r = 0, g = 0, b = 0]: ArrayLike<number> & Iterable<number>) => {
    const [red, green, blue] = [r, g, b].map((each) => {
      const share = each / 255;
      return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
    }) as [number, number, number];
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue;
  };
  const ground = luminance(
    (getComputedStyle(document.documentElement).backgroundColor.match(/\d+/g) ?? []).map(Number),
  );
  const canvas = document.querySelector<HTMLCanvasElement>(".chart canvas");
  const pixels = canvas?.getContext("2d")?.getImageData(0, 0, canvas.width, canvas.height).data ?? [];
  let most = 1;
  for (let i = 0; i < pixels.length; i += 4) {
    // Only what is drawn in full.
    if ((pixels[i + 3] ?? 0) < 250) continue;
    const drawn = luminance([pixels[i] ?? 0, pixels[i + 1] ?? 0, pixels[i + 2] ?? 0]);
    most = Math.max(most, (Math.max(drawn, ground) + 0.05) / (Math.min(drawn, ground) + 0.05));
  }
  return most;
}

describe("pages in the colours that a person has chosen for all pages", () => {
  let page: Page;
  const rig = onFilledStation(
    (opened) => {
      page = opened;
    },
    { width: 800, height: 480 },
  );

  it.each(scenes)("$name: where the keyboard is can be seen", async (scene) => {
    await page.emulateMedia({ forcedColors: "active", colorScheme: "dark" });
    await openScene(page, rig.station.url, scene, rig.facts);
    const { unmarked, stops } = await walk(page);
    expect(unmarked).toEqual([]);
    expect(stops).toBeGreaterThan(0);
  });

  it("tells what is pressed from what is not by more than its ground", async () => {
    await page.goto(`${rig.station.url}/history`);
    const line = (pressed: boolean) =>
      page
        .locator(`.history-presets [aria-pressed="${pressed}"]`)
        .first()
        .evaluate((each) => getComputedStyle(each).outlineStyle);
    await page.locator('.history-presets [aria-pressed="true"]').first().waitFor();
    expect([await line(true), await line(false)]).toEqual(["solid", "none"]);
  });

  // WCAG 2.2, 1.4.11: 3 to 1 for what has to be seen of a drawing.
  it.each(pairs)("draws charts that are seen on $colorScheme, with the theme $theme", async (pair) => {
    if (history === undefined) throw new Error("There is no scene of the history.");
    await page.emulateMedia({ forcedColors: "active", colorScheme: pair.colorScheme });
    await page.goto(rig.station.url);
    await page.evaluate((theme) => localStorage.setItem("station.theme", theme), pair.theme);
    await openScene(page, rig.station.url, history, rig.facts);
    await expect.poll(() => page.evaluate(contrastOfChart)).toBeGreaterThan(3);
    // Of the samples beside the names of what is drawn, too.
    const sample = await page
      .locator(".trace-sample")
      .first()
      .evaluate((each) => getComputedStyle(each).stroke);
    const words = await page.locator("h1").evaluate((each) => getComputedStyle(each).color);
    expect(sample).toBe(words);
  });
});
