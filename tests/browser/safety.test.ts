import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { BoardStation } from "../service/board-station.js";
import { openBrowser } from "./chromium.js";

describe("what is looked at before a cut, and whom to call", () => {
  const rig = new BoardStation();
  let browser: Browser;
  let page: Page;
  const open = (path: string) => page.goto(`${rig.station.url}${path}`);

  beforeAll(async () => {
    await rig.plugIn();
    browser = await openBrowser();
    page = await browser.newPage({ viewport: { width: 390, height: 844 } });
  });
  afterAll(async () => {
    await browser?.close();
    await rig.end();
  });

  it("asks for the list of the first cut until every thing on it was pressed", async () => {
    await open("/");
    const due = page.getByTestId("due-checklists").getByRole("link");
    await due.first().waitFor();
    expect(await due.allTextContents()).toEqual(["Before the first cut of the day: what to look at"]);
    expect(await page.evaluate(() => document.querySelector("main")?.scrollWidth)).toBe(390);
    await due.click();
    await page.getByRole("heading", { name: "Before the first cut of the day" }).waitFor();
    const boxes = await page.getByRole("checkbox").all();
    for (const [i, box] of boxes.entries()) {
      await page
        .getByTestId("looked-at")
        .getByText(`${boxes.length - i} more to look at`)
        .waitFor();
      expect(await page.getByTestId("looked-at").getAttribute("aria-disabled")).toBe("true");
      await box.check();
    }
    await page.getByTestId("looked-at").click();
    await page
      .getByTestId("coolant-number")
      .or(page.getByRole("heading", { name: "Now" }))
      .first()
      .waitFor();
    await expect.poll(() => page.getByTestId("due-checklists").count()).toBe(0);
  });

  it("does not ask again after a restart on the same day", async () => {
    await rig.station.stop();
    await rig.start();
    await open("/");
    await page.getByRole("heading", { name: "Now", exact: true }).waitFor();
    await expect.poll(async () => (await rig.get<{ checklists: [] }>("/api/now")).checklists).toEqual([]);
  });

  it("keeps the numbers that the owner fills in, and shows them first of all", async () => {
    await open("/safety");
    await page.getByText("No numbers are filled in yet.").waitFor();
    await page.getByTestId("emergency-change").click();
    await page.getByLabel("Fire service").fill(" 111 ");
    await page.getByLabel("This address, as you tell it").fill("Mole shed, north quay, gate 3");
    await page.getByTestId("emergency-keep").click();
    const numbers = page.getByTestId("emergency-numbers");
    await numbers.waitFor();
    expect(await numbers.locator("dd").allTextContents()).toEqual(["111", "Mole shed, north quay, gate 3"]);
    expect(await rig.get("/api/emergency")).toEqual({
      fire: "111",
      address: "Mole shed, north quay, gate 3",
    });
    await page.reload();
    await numbers.waitFor();
    expect(await numbers.locator("dd").first().textContent()).toBe("111");
  });

  it("says what is never cut with what it gives off, and the limits with whose they are", async () => {
    const never = page.locator("#never-cut li");
    expect(await never.count()).toBeGreaterThanOrEqual(8);
    expect(await never.first().textContent()).toMatch(/PVC.*hydrogen chloride.*Texas/s);
    const rows = page.locator("#limits tbody tr");
    const words = await rows.allTextContents();
    expect(words).toContainEqual(expect.stringMatching(/0\.75\sppm8 hoursUnited States, OSHA$/));
    expect(words).toContainEqual(expect.stringMatching(/8 hoursGreat Britain.*\(from memory\)$/));
    expect(await page.evaluate(() => document.querySelector("main")?.scrollWidth)).toBe(390);
  });

  it("leaves whoever has gone elsewhere before the answer came where they are", async () => {
    await open("/checklists/before-first-cut");
    await page.getByTestId("looked-at").waitFor();
    let answer = () => {};
    const asked = new Promise<void>((seen) => {
      void page.route("**/api/checklists/*", async (route) => {
        seen();
        await new Promise<void>((go) => {
          answer = go;
        });
        await route.continue();
      });
    });
    for (const box of await page.getByRole("checkbox").all()) await box.check();
    await page.getByTestId("looked-at").click();
    await asked;
    await page.getByRole("link", { name: "Alarms" }).first().click();
    await page.getByRole("heading", { name: "Alarms", exact: true }).waitFor();
    const answered = page.waitForResponse("**/api/checklists/*");
    answer();
    await (await answered).finished();
    // What is done with the answer is done before the next two frames.
    await page.evaluate(
      () => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done))),
    );
    expect(new URL(page.url()).pathname).toBe("/alarms");
    await page.unroute("**/api/checklists/*");
  });
});
