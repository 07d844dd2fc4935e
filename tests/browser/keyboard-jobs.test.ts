import type { Locator, Page } from "playwright-core";
import { describe, expect, it } from "vitest";
import type { PlanView } from "../../station/model/specimen.js";
import { eventually } from "../service/station-process.js";
import { needChecks } from "./need-checks.js";
import { onFilledStation } from "./on-filled-station.js";

/** More places than any page has for the keyboard to stop at. */
const MOST_STOPS = 150;

describe("the work of the shop by keyboard alone", () => {
  let page: Page;
  const rig = onFilledStation(
    (opened) => {
      page = opened;
    },
    { width: 800, height: 480 },
  );
  const at = (id: string) => page.getByTestId(id);
  const open = async (path: string) => {
    await page.goto(`${rig.station.url}${path}`);
    await page.locator("main h1, main h2").first().waitFor({ state: "attached" });
    await page.waitForLoadState("networkidle");
  };
  const isOn = (place: Locator) => place.evaluate((element) => element === document.activeElement);
  /** Presses Tab until the keyboard is at a place. */
  async function tabTo(place: Locator): Promise<void> {
    await place.waitFor();
    for (let i = 0; i < MOST_STOPS; i++) {
      if (await isOn(place)) return;
      await page.keyboard.press("Tab");
    }
    expect.fail("the keyboard does not come there");
  }
  async function press(place: Locator, key = "Enter"): Promise<void> {
    await tabTo(place);
    await page.keyboard.press(key);
  }

  it("goes past the bar to the page with the first stop, and begins at the heading of the next page", async () => {
    await open("/runs");
    const skip = page.getByRole("link", { name: "Skip to the page" });
    await page.keyboard.press("Tab");
    expect(await isOn(skip)).toBe(true);
    expect((await skip.boundingBox())?.height).toBeGreaterThanOrEqual(44);
    await page.keyboard.press("Enter");
    await expect.poll(() => isOn(page.locator("main"))).toBe(true);
    await page.keyboard.press("Tab");
    expect(await page.evaluate(() => document.activeElement?.closest("main") !== null)).toBe(true);
    await press(page.getByRole("navigation").getByRole("link", { name: "Safety" }));
    await expect.poll(() => isOn(page.getByRole("heading", { name: "Safety", level: 1 }))).toBe(true);
    await page.goBack();
    await expect.poll(() => isOn(page.getByRole("heading", { name: "Runs", level: 1 }))).toBe(true);
  });

  it.each(["Escape", "its button"])(
    "leaves the job sheet by %s, and is back where it was opened",
    async (by) => {
      await open("/");
      await press(at("job-sheet"));
      await at("job-sheet-of-plan").waitFor();
      if (by === "Escape") await page.keyboard.press("Escape");
      else await press(at("job-sheet-cancel"));
      await page.locator("dialog").waitFor({ state: "detached" });
      await expect.poll(() => isOn(at("job-sheet"))).toBe(true);
    },
  );

  it("looks at what is looked at before a block, begins a run and ends it", async () => {
    await open("/");
    for (const box of await needChecks(page)) {
      await press(box, "Space");
      expect(await box.isChecked()).toBe(true);
    }
    await press(at("checks-done"));
    await at("need-cut").waitFor();
    await press(at("run-begin"));
    await at("run-end").waitFor();
    await expect.poll(() => isOn(at("run-end"))).toBe(true);
  });

  it("acknowledges an alarm", async () => {
    rig.fan(0);
    await press(at("ack-extraction-stopped"));
    await at("alarm-extraction-stopped").getByText("Acknowledged", { exact: true }).waitFor();
    rig.fan(1500);
    await at("alarm-extraction-stopped").waitFor({ state: "detached" });
    await at("run-end").getByText("End run").waitFor();
    await press(at("run-end"));
    await at("run-begin").waitFor();
  });

  it("grades the piece that was cut", async () => {
    // The page knows that its run has ended a moment before the plan has its piece.
    const cut = await eventually(async () => {
      const { blocks } = await rig.get<PlanView>(`/api/plans/${rig.facts.waitingPlan}`);
      return blocks.flatMap(({ specimens }) => specimens).find(({ state }) => state === "cut");
    }, "the piece that was cut");
    await open(`/s/${cut.code}`);
    await press(at("grade-through-1"), "Space");
    await page.locator("[data-testid=grade-through-1][aria-pressed=true]").waitFor();
    await at("given-through")
      .getByText(/^Kept,/)
      .waitFor();
  });

  it("zooms a chart in and goes along it", async () => {
    await open("/history");
    const shown = async () => {
      const [from, to] = [
        await at("span-shown").getAttribute("data-from"),
        await at("span-shown").getAttribute("data-to"),
      ];
      return { from: Number(from), to: Number(to) };
    };
    const before = await shown();
    await tabTo(
      page.locator(".history-stage[tabindex='0'], .history-stage [tabindex='0']:not(button)").first(),
    );
    await page.keyboard.press("+");
    await expect
      .poll(async () => (await shown()).to - (await shown()).from)
      .toBeLessThan(before.to - before.from);
    const near = await shown();
    await page.keyboard.press("ArrowLeft");
    await expect.poll(async () => (await shown()).from).toBeLessThan(near.from);
  });

  it("chooses two stocks to compare", async () => {
    await open("/review/materials");
    const [first, second] = rig.facts.stocks;
    for (const [label, stock] of [
      ["First", first],
      ["Second", second],
    ] as const) {
      await tabTo(page.getByLabel(label));
      await page.keyboard.type(stock);
      await expect.poll(() => page.getByLabel(label).inputValue()).toBe(stock);
    }
    await page.getByTestId("review-sentence").waitFor();
  });
});
