import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { LotView } from "../../station/model/lot.js";
import { fromPhone } from "../unit/trials/photos/pictures.js";
import { LOTS } from "../unit/trials/plan-bench.js";
import { openBrowser } from "./chromium.js";
import { GradingRig } from "./grading-rig.js";

describe("photos of a lot, and the grey card beside what is photographed", () => {
  const rig = new GradingRig();
  let browser: Browser;
  let page: Page;

  beforeAll(async () => {
    await rig.begin(["through"], 0);
    browser = await openBrowser();
    page = await browser.newPage({ viewport: { width: 390, height: 844 } });
  });
  afterAll(async () => {
    await browser?.close();
    await rig.end();
  });

  it("are taken on the lot's page, wait for the station, and are there once", async () => {
    await page.goto(`${rig.station.url}/lots/${LOTS[0]}`);
    await page.getByTestId("photos").getByText("None yet.").waitFor();
    await page.route("**/api/photos?**", (route) => route.abort());
    await page.getByLabel(/What the next one shows/).fill("the label on the pack");
    await page
      .getByTestId("photo-input")
      .setInputFiles({ name: "pack.jpg", mimeType: "image/jpeg", buffer: await fromPhone() });
    await page.getByTestId("photo-waiting").getByText("the label on the pack").waitFor();
    await page.reload();
    await page.getByTestId("photo-waiting").waitFor();
    await page.unroute("**/api/photos?**");
    await page.getByTestId("photo-kept").getByText("the label on the pack").waitFor();
    expect(await page.getByTestId("photo-waiting").count()).toBe(0);
    const { photos } = await rig.station.get<LotView>(`/api/lots/${LOTS[0]}`);
    expect(photos.map(({ note }) => note)).toEqual(["the label on the pack"]);
    expect(rig.kept(LOTS[0]).map(({ kind }) => kind)).toEqual(["photo"]);
    // A lot is no specimen: it is not among those that were graded lately, and has no lightness.
    expect(await page.getByText("How light is it?").count()).toBe(0);
    await page.goto(`${rig.station.url}/grade`);
    await page.getByRole("heading", { level: 1 }).waitFor();
    expect(await page.getByText(LOTS[0]).count()).toBe(0);
  });

  it("prints a card of three greys, each patch as large as it says, and nothing else", async () => {
    await page.goto(`${rig.station.url}/grey-card`);
    const card = page.getByTestId("grey-card");
    await card.waitFor();
    await page.emulateMedia({ media: "print" });
    const patches = await card.locator("g rect").all();
    expect(patches).toHaveLength(3);
    for (const patch of patches) {
      const box = await patch.boundingBox();
      // 30 mm, of CSS's 96 pixels to the inch.
      expect(box?.width).toBeCloseTo((30 / 25.4) * 96, 0);
      expect(box?.height).toBeCloseTo((30 / 25.4) * 96, 0);
    }
    const fills = await Promise.all(
      patches.map((patch) => patch.evaluate((element) => getComputedStyle(element).fill)),
    );
    expect(fills).toEqual(["lab(25 0 0)", "lab(50 0 0)", "lab(85 0 0)"]);
    expect(await page.getByRole("button", { name: "Print" }).isVisible()).toBe(false);
    await page.emulateMedia({ media: "screen" });
  });
});
