import type { Page } from "playwright-core";
import { describe, expect, it } from "vitest";
import { wrongIn } from "./axe.js";
import { openScene, routesOfThePages, SCENES } from "./every-page.js";
import { needChecks } from "./need-checks.js";
import { onFilledStation } from "./on-filled-station.js";

const SCREENS = [
  { width: 800, height: 480 },
  { width: 390, height: 844 },
  { width: 1280, height: 800 },
] as const;

describe("every page by the rules of WCAG 2.2, levels A and AA", () => {
  let page: Page;
  const rig = onFilledStation((opened) => {
    page = opened;
  });
  const at = (id: string) => page.getByTestId(id);

  /** What is wrong with the page as it is open, on each screen and in both sets of colours. */
  async function wrong(): Promise<unknown[]> {
    const all: unknown[] = [];
    for (const screen of SCREENS) {
      await page.setViewportSize(screen);
      for (const colorScheme of ["light", "dark"] as const) {
        await page.emulateMedia({ colorScheme });
        const found = await wrongIn(page);
        all.push(...found.map((each) => ({ width: screen.width, colorScheme, ...each })));
      }
    }
    return all;
  }

  it("has a scene for each page that there is, and for none that there is not", () => {
    expect(routesOfThePages().length).toBeGreaterThan(20);
    expect([...new Set(SCENES.map(({ route }) => route))].sort()).toEqual(routesOfThePages());
  });

  it.each(SCENES)("$name", async (scene) => {
    await page.setViewportSize(SCREENS[0]);
    await openScene(page, rig.station.url, scene, rig.facts);
    expect(await wrong()).toEqual([]);
  });

  it("the panel that asks why a piece is skipped", async () => {
    await page.setViewportSize(SCREENS[0]);
    await page.goto(rig.station.url);
    for (const check of await needChecks(page)) await check.check();
    await at("checks-done").click();
    await at("skip").click();
    await at("why-panel").waitFor();
    expect(await wrong()).toEqual([]);
  });

  it("the job sheet with entries that are not right", async () => {
    await rig.done("POST", `/api/plans/${rig.facts.waitingPlan}/phase`, { phase: "paused" });
    await page.setViewportSize(SCREENS[0]);
    await page.goto(rig.station.url);
    await at("job-sheet").click();
    await page.getByLabel(/^Power/).fill("very much");
    await at("job-sheet-keep").click();
    await page.locator(".field-expected").first().waitFor();
    expect(await wrong()).toEqual([]);
  });

  it.each(["/", "/alarms", "/runs", "/safety"])(
    "%s with a run open, an urgent alarm and others beside it",
    async (path) => {
      rig.water(23);
      await rig.done("POST", "/api/runs", {}).catch(() => undefined);
      rig.fan(0);
      await page.goto(rig.station.url);
      await at("alarm-extraction-stopped").waitFor();
      await at("alarm-coolant-high").waitFor();
      await page.goto(`${rig.station.url}${path}`);
      await page.locator("main h1").waitFor({ state: "attached" });
      await page.waitForLoadState("networkidle");
      expect(await wrong()).toEqual([]);
    },
  );

  it.each(["/", "/history"])("%s once the station is gone", async (path) => {
    await page.goto(`${rig.station.url}${path}`);
    await page.locator("main h1, main h2").first().waitFor({ state: "attached" });
    await rig.station.kill();
    await at("lost-station").waitFor();
    expect(await wrong()).toEqual([]);
    await rig.start();
  });
});
