import type { Page } from "playwright-core";
import { describe, expect, it } from "vitest";
import { openScene, SCENES } from "./every-page.js";
import { onFilledStation } from "./on-filled-station.js";

/** Every page there is, one after the other. */
const SLOW = { timeout: 240_000 };

describe("pages for whoever needs them large, still, or in their own colours", () => {
  let page: Page;
  const rig = onFilledStation((opened) => {
    page = opened;
  });

  /** By how much the page goes beyond its width; what scrolls in a frame of its own does not count. */
  const overhang = () =>
    page.evaluate(() =>
      [document.scrollingElement, document.querySelector("main")].map((each) =>
        each === null ? null : each.scrollWidth - each.clientWidth,
      ),
    );

  /** The scenes that go beyond the page's width, and by how much. */
  async function tooWide(): Promise<readonly unknown[]> {
    const wide: unknown[] = [];
    for (const scene of SCENES) {
      await openScene(page, rig.station.url, scene, rig.facts);
      const over = await overhang();
      if (over.some((by) => (by ?? 0) > 0)) wide.push([scene.name, ...over]);
    }
    return wide;
  }

  // WCAG 2.2, 1.4.10: 320 CSS pixels, which is 1280 at a zoom of 400 %.
  it("no page is moved sideways at 320 pixels", SLOW, async () => {
    await page.setViewportSize({ width: 320, height: 640 });
    expect(await tooWide()).toEqual([]);
  });

  // WCAG 2.2, 1.4.4. The browser's own setting, which is 16 px unless a person chose another.
  it("no page is moved sideways on a phone whose text is twice as large", SLOW, async () => {
    await page.setViewportSize({ width: 390, height: 844 });
    const devtools = await page.context().newCDPSession(page);
    await devtools.send("Page.enable");
    const sized = (standard: number, fixed: number) =>
      devtools.send("Page.setFontSizes", { fontSizes: { standard, fixed } });
    await sized(32, 26);
    await page.goto(rig.station.url);
    expect(await page.evaluate(() => getComputedStyle(document.documentElement).fontSize)).toBe("32px");
    expect(await tooWide()).toEqual([]);
    await sized(16, 13);
  });

  it("no heading is pressed together to the width of a letter on the screen on the wall", SLOW, async () => {
    await page.setViewportSize({ width: 800, height: 480 });
    const pressed: unknown[] = [];
    for (const scene of SCENES) {
      await openScene(page, rig.station.url, scene, rig.facts);
      const found = await page
        .locator("h1:not(.unseen), h2:not(.unseen), h3:not(.unseen)")
        .evaluateAll((all) =>
          all
            .filter((each) => {
              const { width, height } = each.getBoundingClientRect();
              return width > 0 && height > 4 * width;
            })
            .map((each) => each.textContent),
        );
      if (found.length > 0) pressed.push([scene.name, found]);
    }
    expect(pressed).toEqual([]);
  });

  // A phone that is turned, a window made narrow: also before anything that watches the width has drawn itself anew.
  it("no page is moved sideways in the very moment in which its screen becomes narrow", SLOW, async () => {
    const wide: unknown[] = [];
    for (const scene of SCENES) {
      await page.setViewportSize({ width: 844, height: 390 });
      await openScene(page, rig.station.url, scene, rig.facts);
      const over = page.evaluate(
        () =>
          new Promise<readonly number[]>((told) => {
            addEventListener(
              "resize",
              () =>
                told(
                  [document.documentElement, ...document.querySelectorAll("main")].map(
                    (each) => each.scrollWidth - each.clientWidth,
                  ),
                ),
              { once: true },
            );
          }),
      );
      await page.setViewportSize({ width: 390, height: 844 });
      if ((await over).some((by) => by > 0)) wide.push([scene.name, ...(await over)]);
    }
    expect(wide).toEqual([]);
  });

  it("nothing moves by itself where that is asked for", async () => {
    await page.emulateMedia({ reducedMotion: "reduce" });
    rig.water(23);
    await page.goto(rig.station.url);
    await page.getByTestId("alarm-coolant-high").waitFor();
    expect(await page.evaluate(() => document.getAnimations().length)).toBe(0);
  });
});
