import { randomUUID } from "node:crypto";
import type { Browser } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { openBrowser } from "./chromium.js";
import { GradingRig } from "./grading-rig.js";

describe("a grade that two screens gave", () => {
  const rig = new GradingRig();
  let browser: Browser;

  beforeAll(async () => {
    await rig.begin(["through", "back_fuzz"], 1);
    browser = await openBrowser();
  });
  afterAll(async () => {
    await browser?.close();
    await rig.end();
  });

  it("is told of as such, and which of them counts, where the older one waited for a connection", async () => {
    const [cut] = await rig.specimens();
    const code = cut?.code ?? "";
    const entered = Date.now();
    const send = (by: string, enteredWall: number, value: number) => {
      const entry = { entry: randomUUID(), kind: "grade", subject: code, property: "back_fuzz" };
      const body = { value, grading: 1 };
      return rig.done("POST", "/api/entries", { entries: [{ ...entry, body, enteredWall, by }] });
    };
    await send("bench tablet", entered, 2);
    const page = await browser.newPage({ viewport: { width: 390, height: 844 } });
    await page.goto(`${rig.station.url}/s/${code}`);
    await page
      .getByTestId("given-back_fuzz")
      .getByText(/^Kept,/)
      .waitFor();
    expect(await page.getByTestId("other-back_fuzz").count()).toBe(0);
    // Ten minutes older, and it comes in now.
    await send("first phone", entered - 600_000, 0);
    await page.reload();
    const other = page.getByTestId("other-back_fuzz");
    await other.waitFor();
    expect(await other.textContent()).toMatch(
      /bench tablet said Some at .*, which is later, but it came in first\. Only None counts/,
    );
    expect(await page.getByTestId("other-through").count()).toBe(0);
  });
});
