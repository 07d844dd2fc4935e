import readModule from "jsqr";
import type { Browser, Page } from "playwright-core";
import sharp from "sharp";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { openBrowser } from "./chromium.js";
import { GradingRig } from "./grading-rig.js";

// A module of CommonJS that was made for bundlers: what it exports is one level down here.
const readQr = readModule as unknown as typeof readModule.default;

describe("a plan on the wall screen and on paper", () => {
  const rig = new GradingRig();
  let browser: Browser;
  let page: Page;

  beforeAll(async () => {
    await rig.begin(["through", "back_fuzz"], 0);
    browser = await openBrowser();
    page = await browser.newPage({ viewport: { width: 800, height: 480 } });
  });
  afterAll(async () => {
    await browser?.close();
    await rig.end();
  });

  const code = async () => (await page.getByTestId("next-code").textContent()) ?? "";
  async function cut(): Promise<string> {
    const shown = await code();
    await page.getByTestId("run-begin").click();
    await page.getByTestId("run-end").click();
    await expect.poll(code).not.toBe(shown);
    return shown;
  }

  it("names the next specimen, and what is cut then belongs to it", async () => {
    await page.goto(rig.station.url);
    await page.getByTestId("next-code").waitFor();
    const order = (await rig.specimens()).map((specimen) => specimen.code);
    expect(await code()).toBe(order[0]);
    expect([await cut(), await cut()]).toEqual(order.slice(0, 2));
    const [first, second, third] = await rig.specimens();
    expect([first?.state, second?.state, third?.state]).toEqual(["cut", "cut", "waiting"]);
    expect([first?.runs.length, second?.runs.length]).toEqual([1, 1]);
  });

  it("prints labels whose QR codes open the specimens, and which tell neither lot nor setting", async () => {
    await page.goto(`${rig.station.url}/plans/${rig.plan}/labels`);
    await page.getByTestId("label").first().waitFor();
    const waiting = (await rig.specimens()).filter(({ state }) => state === "waiting");
    const labels = await page.getByTestId("label").all();
    expect(labels).toHaveLength(waiting.length);
    await page.emulateMedia({ media: "print" });
    for (const [i, label] of labels.entries()) {
      const picture = await label.screenshot();
      const { data, info } = await sharp(picture)
        .resize({ width: 900 })
        .ensureAlpha()
        .raw()
        .toBuffer({ resolveWithObject: true });
      const found = readQr(new Uint8ClampedArray(data), info.width, info.height);
      expect(found?.data).toBe(`${rig.station.url}/s/${waiting[i]?.code}`);
      const words = await label.textContent();
      expect(words).toContain(waiting[i]?.code);
      expect(words).not.toMatch(/Quayside|Harbour|mm/);
    }
    const pdf = (await page.pdf({ preferCSSPageSize: true })).toString("latin1");
    // A4, in points of a 72nd of an inch; one sheet.
    expect(pdf.match(/\/Type \/Page\b/g)).toHaveLength(1);
    const [, width, height] = /\/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]/.exec(pdf) ?? [];
    expect(Math.abs(Number(width) - (210 / 25.4) * 72)).toBeLessThan(1);
    expect(Math.abs(Number(height) - (297 / 25.4) * 72)).toBeLessThan(1);
    await page.emulateMedia({ media: "screen" });
  });

  it("has a cutting sheet with every setting in the order of cutting, and codes to engrave", async () => {
    await page.getByRole("button", { name: "Cutting sheet" }).click();
    const rows = await page.getByTestId("cutting-sheet").locator("tbody tr").allInnerTexts();
    const all = await rig.specimens();
    expect(rows).toHaveLength(all.length);
    for (const [i, row] of rows.entries()) {
      expect(row).toContain(all[i]?.code);
      expect(row).toContain(String(all[i]?.setting.speed_mm_s));
      expect(row).toContain(all[i]?.state === "cut" ? "☑" : "☐");
    }
    await page.getByRole("button", { name: "Codes to engrave" }).click();
    const link = page.getByRole("link", { name: "All of them, DXF" });
    const drawing = await (
      await fetch(new URL((await link.getAttribute("href")) ?? "", rig.station.url))
    ).text();
    expect(drawing).toMatch(/AC1009/);
    const one = await fetch(`${rig.station.url}/api/specimens/${all[0]?.code}/code.svg?height=5`);
    expect([one.status, one.headers.get("content-type")]).toEqual([
      200,
      expect.stringContaining("image/svg+xml"),
    ]);
  });
});
