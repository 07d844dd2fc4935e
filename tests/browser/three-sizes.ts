import { mkdirSync } from "node:fs";
import { join } from "node:path";
import type { Page } from "playwright-core";
import { expect } from "vitest";
import { wrongIn } from "./axe.js";

/**
 * A look at the page in each of the sizes: none may be moved sideways, and axe finds nothing in the last. Pictures go to the folder
 * that LOOKS names, where somebody wants to see them.
 */
export async function lookAtThreeSizes(page: Page, name: string): Promise<void> {
  for (const [width, height] of [
    [390, 844],
    [1280, 800],
    [800, 480],
  ] as const) {
    await page.setViewportSize({ width, height });
    const over = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
    expect(over, `${name} at ${width}`).toBeLessThanOrEqual(0);
    const kept = process.env.LOOKS;
    if (kept === undefined) continue;
    mkdirSync(kept, { recursive: true });
    await page.screenshot({ path: join(kept, `${name}-${width}x${height}.png`), fullPage: true });
  }
  expect(await wrongIn(page)).toEqual([]);
}
