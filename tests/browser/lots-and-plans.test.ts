import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { LotView } from "../../station/model/lot.js";
import type { PlanView } from "../../station/model/specimen.js";
import { BoardStation } from "../service/board-station.js";
import { openBrowser } from "./chromium.js";
import { needChecks } from "./need-checks.js";

/** As somebody does who fills the forms in, with a keyboard on the screen of the wall. */
describe("lots, plans and the workshop are entered on their pages", () => {
  const rig = new BoardStation();
  let browser: Browser;
  let page: Page;
  const field = (label: string | RegExp) => page.getByLabel(label);
  const open = (path: string) => page.goto(`${rig.station.url}${path}`);

  beforeAll(async () => {
    await rig.plugIn();
    browser = await openBrowser();
    page = await browser.newPage({ viewport: { width: 800, height: 480 } });
  });
  afterAll(async () => {
    await browser?.close();
    await rig.end();
  });

  /** Keeps the answers to an address back. Returns what lets them go. */
  async function holdAnswers(address: string): Promise<() => void> {
    let release = (): void => undefined;
    const held = new Promise<void>((resolve) => {
      release = resolve;
    });
    await page.route(address, async (route) => {
      await held;
      await route.continue();
    });
    return release;
  }

  async function expected(): Promise<readonly string[]> {
    await page.locator(".field-expected").first().waitFor();
    return page.locator(".field-expected").allTextContents();
  }

  it("says all that a lot still wants at once, and loses nothing of what was typed", async () => {
    await open("/lots");
    await page.getByTestId("lot-add").click();
    await field("Supplier").fill("Quay Timber");
    await field(/^Price of a sheet/).fill("cheap");
    await field(/^Sheets ordered/).fill("2.5");
    await page.getByTestId("lot-keep").click();
    expect(await expected()).toEqual([
      "Expected: a name",
      "Expected: what it is made of",
      "Expected: how thick it is sold, in mm",
      "Expected: a number from 0 to 1000000",
      "Expected: a whole number from 1 to 10000",
    ]);
    await page.getByText("Not kept: 5 entries are not right.").waitFor();
    // The first of them has the keyboard.
    await expect
      .poll(() => field("Product").evaluate((input) => input === document.activeElement))
      .toBe(true);
    expect(await field("Supplier").inputValue()).toBe("Quay Timber");
    expect((await rig.get<{ lots: LotView[] }>("/api/lots")).lots).toEqual([]);
  });

  it("keeps a lot with several points of thickness, and shows their mean and its density", async () => {
    await field("Product").fill("Quayside board");
    await field("Made of").selectOption("mdf");
    await field(/^Nominal thickness/).fill("3");
    const thickness = field(/^Thickness, one point/);
    for (const point of ["3,02", "2.98", "3.05"]) {
      await thickness.fill(point);
      await thickness.press("Enter");
    }
    // One too many is taken out again, and what still stands in the field counts, too.
    await thickness.fill("9");
    await thickness.press("Enter");
    await page.getByRole("button", { name: /^Take out 9/ }).click();
    await thickness.fill("2.95");
    await field(/^Piece: mass/).fill("202.5");
    await field(/^Piece: length/).fill("300");
    await field(/^Piece: width/).fill("300");
    await field(/^Price of a sheet/).fill("4,50 €");
    await field(/^Sheets ordered/).fill("10");
    await page.getByTestId("lot-keep").click();
    await page.getByRole("heading", { name: "L1 Quayside board" }).waitFor();
    const facts = page.locator("main");
    // The mean of 3.02, 2.98, 3.05 and 2.95 mm.
    expect(await facts.textContent()).toMatch(/Thickness3\.00\smm, spread 0\.0\d\d\smm, n\s4/);
    // 202.5 g over 300 mm by 300 mm by 3 mm, in kg/m³ (EN 323: mass over volume).
    expect(await facts.textContent()).toMatch(/\(EN 323\)750\skg\/m³/);
    // What is not known is one line, with the way to say it.
    expect(await page.getByTestId("lot-not-known").textContent()).toMatch(
      /^Not known: How it is stored, sheet, received on, /,
    );
    const { lots } = await rig.get<{ lots: LotView[] }>("/api/lots");
    expect(lots.map((lot) => lot.facts.thickness_mm)).toEqual([[3.02, 2.98, 3.05, 2.95]]);
    expect(lots[0]?.facts.sheet_price).toBe(4.5);
  });

  it("fills another lot in only with what stays the same, and says so", async () => {
    await page.getByRole("link", { name: "Another lot of this" }).click();
    await page.getByText(/What it is has been filled in from L1 Quayside board/).waitFor();
    expect(await field("Product").inputValue()).toBe("Quayside board");
    expect(await field(/^Piece: mass/).inputValue()).toBe("");
    await field("Product").fill("Harbour board");
    await field(/^Thickness, one point/).fill("2.75 2.77 2.73");
    await page.getByTestId("lot-keep").click();
    await page.getByRole("heading", { name: "L2 Harbour board" }).waitFor();
    expect((await rig.get<{ lots: LotView[] }>("/api/lots")).lots).toHaveLength(2);
  });

  it("says at once which rungs there cannot be, and what a plan can show before anything is cut", async () => {
    await open("/plans/new");
    await field("Title").fill("Which board is the faster one");
    await page.getByTestId("choose-lot-1").check();
    await page.getByTestId("choose-lot-2").check();
    await field(/^Spacer, L1/).fill("7");
    await field(/^Spacer, L2/).fill("6.75");
    await field(/^From/).fill("10");
    await field(/^To/).fill("16");
    await field(/^Rungs/).fill("99");
    expect(await expected()).toEqual(["Expected: a whole number from 1 to 20"]);
    await field(/^Rungs/).fill("4");
    expect(await page.locator(".taken").allTextContents()).toEqual(
      ["10", "12", "14", "16"].map((rung) => `Take out ${rung} ×`),
    );
    await page.getByRole("textbox", { name: /^Power/ }).fill("60");
    await field(/^Blocks/).fill("2");
    await page.getByTestId("choose-bending").check();
    const preview = page.getByTestId("preview");
    await preview.getByRole("heading", { name: "16 cuts" }).waitFor();
    expect((await preview.getByRole("listitem").allTextContents()).join(" ")).not.toBe("");
    await field(/^Graded a second time/).fill("120");
    await field("Passes").fill("");
    await page.getByTestId("plan-keep").click();
    expect(await expected()).toEqual([
      "Expected: a whole number from 1 to 50",
      "Expected: a number from 0 to 100",
    ]);
    await field(/^Graded a second time/).fill("25");
    // What has been put right is not said to be wrong any more, and the keyboard stays where it was.
    expect(await expected()).toEqual(["Expected: a whole number from 1 to 50"]);
    await page.getByText("Not kept: one entry is not right.").waitFor();
    expect(await field(/^Graded a second time/).evaluate((input) => input === document.activeElement)).toBe(
      true,
    );
    await field("Passes").fill("1");
    expect(await page.locator(".field-expected").count()).toBe(0);
    await page.getByTestId("plan-keep").click();
    await page.getByRole("heading", { name: "P1 Which board is the faster one" }).waitFor();
    const { plans } = await rig.get<{ plans: { id: string }[] }>("/api/plans");
    expect(plans).toHaveLength(1);
    const plan = await rig.get<PlanView>(`/api/plans/${plans[0]?.id}`);
    expect(plan.facts).toMatchObject({
      layout: { method: "ladder", vary: "speed", rungs: [10, 12, 14, 16], replicates: 2 },
      power_pct: 60,
      spacers_mm: [7, 6.75],
      second_share: 0.25,
      blind: true,
    });
    // A bending test is asked for as a whole.
    expect(plan.facts.properties.filter((id) => id.startsWith("bend_"))).toHaveLength(8);
    expect(plan.blocks.map(({ specimens }) => specimens.length)).toEqual([8, 8]);
  });

  it("lists the plan, and has the wall ask for the checks with the spacer of each lot", async () => {
    await open("/plans");
    const row = page.getByTestId("plan-row-1");
    await row.waitFor();
    expect(await row.textContent()).toMatch(/P1 Which board is the faster one.*0 of 16 cut.*2 lots/);
    await row.click();
    await page.getByTestId("phase-to-running").click();
    // A page that is left takes with it what it has not sent yet.
    await page.getByTestId("phase-to-paused").waitFor();
    // A slow answer: what stands above the checks must not come in under a finger that lies on one.
    const release = await holdAnswers("**/api/plans/*");
    await open("/");
    await page.getByTestId("need-checks").getByText("Looking up what it takes…").waitFor();
    expect(await page.getByTestId("need-checks").getByRole("checkbox").count()).toBe(0);
    release();
    await page.getByTestId("need-checks").getByRole("checkbox").first().waitFor();
    await page.unroute("**/api/plans/*");
    const needs = page.getByTestId("block-needs").getByRole("listitem");
    await expect
      .poll(async () => (await needs.allTextContents()).map((words) => words.replace(/\s/g, " ")))
      .toEqual(["L1 Quayside board 4 pieces, spacer 7 mm", "L2 Harbour board 4 pieces, spacer 6.75 mm"]);
    // Nothing of any one piece stands there while the block is not looked at.
    expect(await page.locator("main").textContent()).not.toMatch(/mm\/s/);
    // What is asked for comes first; a run that is begun all the same takes what was entered, and is said to be none of the plan's.
    const begin = page.getByTestId("run-begin");
    expect(await begin.getAttribute("class")).not.toMatch(/button-main/);
    await begin.click();
    await page.getByText("Of no specimen of the plan.").waitFor();
    await page.getByTestId("run-end").click();
    await page.getByText("Next run: after the checks of block 1.").waitFor();
    const done = page.getByTestId("checks-done");
    const box = await done.boundingBox();
    expect((box?.y ?? 0) + (box?.height ?? 0)).toBeLessThanOrEqual(480);
    for (const box of await needChecks(page)) await box.check();
    await done.click();
    await page.getByTestId("next-code").waitFor();
    expect(await begin.getAttribute("class")).toMatch(/button-main/);
  });

  it("asks for no grade at the machine, as the plan is blind", async () => {
    await page.getByTestId("run-begin").click();
    await page.getByTestId("run-end").click();
    await page.getByTestId("last-cut").waitFor();
    await page.getByTestId("last-spoilt").waitFor();
    expect(await page.getByTestId("outcome-0").count()).toBe(0);
  });

  it("keeps what is said of the workshop, and shows it again", async () => {
    await open("/workshop");
    await field(/^Beam quality/).fill("0.5");
    await field(/^Sheets in an order/).fill("ten");
    await page.getByTestId("keep-workshop").click();
    expect(await expected()).toEqual([
      "Expected: a number from 1 to 20",
      "Expected: a whole number from 1 to 10000",
    ]);
    await field(/^Beam quality/).fill("1,2");
    await field(/^Sheets in an order/).fill("10");
    await field(/^Focal length/).fill("50.8");
    await field(/^Beam at the lens/).fill("6");
    await field("Currency").fill("kr");
    await field(/^Slower than/).fill("10");
    await page.getByTestId("keep-workshop").click();
    await page.getByText("Kept.", { exact: true }).waitFor();
    await page
      .getByTestId("depth-of-focus")
      .getByText(/depth of focus \d/)
      .waitFor();
    await page.reload();
    await field("Currency").waitFor();
    expect([
      await field(/^Beam quality/).inputValue(),
      await field(/^Focal length/).inputValue(),
      await field("Currency").inputValue(),
      await field(/^Slower than/).inputValue(),
    ]).toEqual(["1.2", "50.8", "kr", "10"]);
    expect((await rig.get<{ facts: object }>("/api/workshop")).facts).toEqual({
      lens_focal_mm: 50.8,
      beam_mm: 6,
      m2: 1.2,
      currency: "kr",
      order_sheets: 10,
      margin_pct: 10,
    });
  });

  it.each([
    ["/plans/nonsense", "plan", "/plans"],
    ["/plans/00000000-0000-4000-8000-00000000ffff", "plan", "/plans"],
    ["/plans/nonsense/labels", "plan", "/plans"],
    ["/plans/nonsense/decision", "plan", "/plans"],
    ["/lots/nonsense", "lot", "/lots"],
    ["/settings-sheet/nonsense", "lot", "/lots"],
    ["/runs/nonsense", "run", "/runs"],
    ["/s/XXXX", "specimen", "/grade"],
  ])("says plainly that there is nothing at %s, and leads back", async (path, what, back) => {
    await open(path);
    await page.getByText(`There is no ${what} at this address.`).waitFor();
    expect(await page.locator(`main a[href="${back}"]`).count()).toBe(1);
    expect(await page.getByRole("button", { name: /Labels|Cutting sheet/ }).count()).toBe(0);
  });

  it("leads back from an address that has no page, by a link that a finger meets", async () => {
    await open("/nope");
    const box = await page.getByRole("link", { name: "Go to Now" }).boundingBox();
    expect(box?.height).toBeGreaterThanOrEqual(44);
  });
});
