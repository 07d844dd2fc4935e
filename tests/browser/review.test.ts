import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { ReviewRun } from "../../station/model/review.js";
import type { ReviewOverview } from "../../station/model/review-views.js";
import { history } from "../bench/histories.js";
import { pastCsv } from "../service/past-csv.js";
import { type StationProcess, startStation, temporaryFolder } from "../service/station-process.js";
import { weekly } from "../unit/review/drift-runs.js";
import { entry } from "../unit/trials/plan-bench.js";
import { openBrowser } from "./chromium.js";
import { GradingRig } from "./grading-rig.js";

const SCREENS = [
  { name: "the screen on the wall", width: 800, height: 480 },
  { name: "a phone", width: 390, height: 844 },
  { name: "a desk", width: 1280, height: 800 },
];
/** The width of A4 between its margins of 14 mm, at CSS's 96 pixels to the inch. */
const PAPER = Math.floor((182 / 25.4) * 96);
/** As somebody may name it who joins words: nothing in it says where it may be broken. */
const LONG = "Birch_plywood_standard_3mm_bundle_of_twenty_five_sheets_light_one_side_sanded";

/** A made-up season in which the coolant matters and nothing else does, and the second stock is faster by a fifth. */
const season: ReviewRun[] = history({ runs: 240, effects: { coolant_C: -1 }, ratio: 1.2 }, 11, 1).map(
  (run) => (run.material === "Birch ply" ? { ...run, material: LONG } : run),
);
const coolantOf = ({ conditions }: ReviewRun) => conditions.coolant_C as number;
/** A reference that is cut each week: some 12 % slower from the fifteenth week on. */
const weeks = [20, 20.3, 19.8, 20.1, 19.9, 20.2, 19.7, 20, 20.1, 19.9, 20.2, 19.8, 20.1, 19.9];
const reference = weekly([...weeks, ...weeks.map((speed) => speed * 0.88)]).map((run) => ({
  ...run,
  material: "Reference board",
}));
/** Of those that did not go through at a speed at which most do, the one that was cut with the warmest coolant. */
const warmest = season
  .filter(({ through, speed_mm_s }) => through === false && (speed_mm_s ?? 0) <= 20)
  .reduce((a, b) => (coolantOf(a) > coolantOf(b) ? a : b));

describe("the pages of review over a season of past runs", () => {
  const { folder, remove } = temporaryFolder();
  let station: StationProcess;
  let browser: Browser;
  let page: Page;
  let pages: readonly string[];

  beforeAll(async () => {
    station = await startStation(folder, null);
    const taken = await fetch(`${station.url}/api/past-runs?dry=false`, {
      method: "POST",
      body: pastCsv(season),
    });
    expect(taken.status).toBe(200);
    const { badRuns } = await station.get<ReviewOverview>("/api/review");
    const bad = badRuns.find(({ name }) => name === `Past run ${warmest.id}`)?.id ?? "";
    const two = new URLSearchParams({ first: LONG, second: "Poplar ply" });
    pages = [
      ...["/review", `/review/runs/${bad}`, `/review/materials?${two}`],
      ...["/review/materials", "/review/method", "/review/drift"],
      `/review/drift?${new URLSearchParams({ reference: "Reference board" })}`,
    ];
    browser = await openBrowser();
    page = await browser.newPage({ viewport: { width: 1280, height: 800 } });
  });
  afterAll(async () => {
    await browser?.close();
    await station?.stop();
    remove();
  });

  async function open(path: string): Promise<void> {
    await page.goto(`${station.url}${path}`);
    await page.locator("main h1").waitFor();
    await page.waitForLoadState("networkidle");
    await page.locator("main [role=status]").waitFor({ state: "detached" });
  }
  const verdictOf = (condition: string) =>
    page.getByTestId(`condition-${condition}`).getByTestId("verdict").textContent();
  const sentence = () => page.getByTestId("review-sentence").textContent();

  it("find the coolant that was planted, and clear the room that was not, with words and signs", async () => {
    await page.goto(station.url);
    await page.getByRole("navigation").getByRole("link", { name: "Review" }).click();
    await page.getByTestId("condition-coolant_C").waitFor();
    expect(await verdictOf("coolant_C")).toBe("Explains");
    expect(await verdictOf("room_C")).toBe("No sign");
    expect(await sentence()).toMatch(/^\d+ of 240 runs did not go through\. Coolant has to do with/);
    expect(await page.getByTestId("verdict").locator("svg").count()).toBe(6);
  });

  it("lead from the list to one bad run, with a picture for each condition and its numbers on request", async () => {
    await open("/review");
    await page.getByRole("button", { name: /^Show all \d+$/ }).click();
    await page
      .getByTestId("bad-runs")
      .getByRole("link", { name: new RegExp(`^Past run ${warmest.id}\\b`) })
      .click();
    await page
      .getByRole("heading", { name: `Past run ${warmest.id}: why was it not cut through?` })
      .waitFor();
    await page.getByTestId("review-sentence").waitFor();
    expect(await verdictOf("coolant_C")).toBe("Explains");
    expect(await sentence()).toMatch(/^Coolant explains it/);
    const coolant = page.getByTestId("condition-coolant_C");
    const good = Number(/Dots: (\d+) /.exec((await coolant.textContent()) ?? "")?.[1]);
    expect(await coolant.locator("svg .dot").count()).toBe(good);
    expect(await coolant.locator("svg .strip-here").count()).toBe(1);
    expect(await coolant.locator("svg .strip-band").count()).toBe(1);
    expect(await page.getByTestId("condition-room_C").locator("svg .strip-band").count()).toBe(0);
    const value = coolant.locator("dd").getByText(`${coolantOf(warmest).toFixed(1)} °C`, { exact: true });
    await expect.poll(() => value.isVisible()).toBe(false);
    await coolant.getByText("Numbers").click();
    await expect.poll(() => value.isVisible()).toBe(true);
  });

  it("compare two stocks that are chosen, each cut in its place along the speed", async () => {
    await open("/review/materials");
    expect(await page.getByTestId("review-sentence").count()).toBe(0);
    await page.getByLabel("First").selectOption(LONG);
    await page.getByLabel("Second").selectOption("Poplar ply");
    await page.getByTestId("review-sentence").waitFor();
    expect(await sentence()).toMatch(/^Poplar ply cuts through faster/);
    expect(new URL(page.url()).searchParams.get("second")).toBe("Poplar ply");
    const picture = page.locator(".strip-picture svg");
    expect(await picture.locator(".dot").count()).toBeGreaterThan(10);
    expect(await picture.locator(".cross").count()).toBeGreaterThan(10);
    expect(await picture.locator(".dots-limits").count()).toBe(4);
  });

  it("say that the machine drifts where its reference is cut slower, and draw when", async () => {
    const taken = await fetch(`${station.url}/api/past-runs?dry=false`, {
      method: "POST",
      body: pastCsv(reference),
    });
    expect(taken.status).toBe(200);
    await open("/review/drift");
    await page.getByLabel(/^Reference/).selectOption("Reference board");
    await page.getByTestId("review-sentence").waitFor();
    expect(await sentence()).toMatch(/^Since about \d+ \w+ 2026 the machine gives about 1[0-4] % less than/);
    const chart = page.locator(".strip-picture svg");
    const signals = await chart.locator(".drift-signal").count();
    expect(signals).toBeGreaterThan(5);
    expect(signals + (await chart.locator(".dot").count())).toBe(reference.length / 2);
    expect(await chart.locator(".drift-mean").getAttribute("d")).toMatch(/^M[\d.]+ [\d.]+(L[\d.]+ [\d.]+)+$/);
  });

  it("say in words that there is no such run, and no such stock", async () => {
    await open("/review/runs/00000000-0000-4000-8000-000000000000");
    await page.getByText("None of the runs that are looked at has this id").waitFor();
    await open("/review/materials?first=chalk&second=cheese");
    await page.getByText("Nothing that was cut is called “chalk”").waitFor();
  });

  it.each(SCREENS)(
    "fit $name, show no number that is none, and are easily hit",
    async ({ width, height }) => {
      await page.setViewportSize({ width, height });
      const wrong: unknown[] = [];
      for (const path of pages) {
        await open(path);
        const found = await page.evaluate(() => {
          for (const details of document.querySelectorAll("details")) details.open = true;
          const main = document.querySelector("main") as HTMLElement;
          const over = [document.scrollingElement as Element, main].map((e) => e.scrollWidth - e.clientWidth);
          const small = [...main.querySelectorAll("a, button, select, summary")]
            .filter((each) => {
              const box = each.getBoundingClientRect();
              return box.width > 0 && (box.height < 44 || box.width < 44);
            })
            .map(({ textContent }) => textContent);
          const none = /NaN|Infinity|\bnull\b|undefined/.exec(main.textContent ?? "")?.[0] ?? null;
          return { over, small, none };
        });
        if (found.over.some((by) => by !== 0) || found.small.length > 0 || found.none !== null)
          wrong.push([path, found]);
      }
      expect(wrong).toEqual([]);
    },
  );

  it("are printed without what is only for the screen, and no wider than paper", async () => {
    await page.setViewportSize({ width: PAPER, height: 1000 });
    for (const path of pages) {
      await open(path);
      await page.emulateMedia({ media: "print" });
      const printed = await page.evaluate(() => ({
        over: (document.scrollingElement as Element).scrollWidth - window.innerWidth,
        shown: [...document.querySelectorAll("nav, main .button, main select, .back")].filter(
          (each) => each.getClientRects().length > 0,
        ).length,
        tables: [...document.querySelectorAll(".wide-table")].filter(
          (each) => each.scrollWidth > each.clientWidth,
        ).length,
      }));
      expect([path, printed]).toEqual([path, { over: 0, shown: 0, tables: 0 }]);
      const pdf = (await page.pdf({ preferCSSPageSize: true })).toString("latin1");
      expect(pdf.match(/\/Type \/Page\b/g)?.length).toBeGreaterThan(0);
      await page.emulateMedia({ media: "screen" });
    }
  });
});

describe("a run whose specimen was not cut through", () => {
  const rig = new GradingRig();
  let browser: Browser;

  beforeAll(async () => {
    await rig.begin(["through"], 2);
    browser = await openBrowser();
  });
  afterAll(async () => {
    await browser?.close();
    await rig.end();
  });

  it("leads from its own page to why, and one that was cut through does not", async () => {
    const [bad, good] = await rig.specimens();
    const through = (code: string, value: number) => entry("grade", code, { value, grading: 1 }, "through");
    await rig.done("POST", "/api/entries", {
      entries: [through(bad?.code ?? "", 3), through(good?.code ?? "", 0)],
    });
    const page = await browser.newPage({ viewport: { width: 390, height: 844 } });
    await page.goto(`${rig.station.url}/runs/${good?.runs[0]?.id}`);
    await page.getByRole("heading", { name: "When" }).waitFor();
    await page.waitForLoadState("networkidle");
    expect(await page.getByTestId("why-not").count()).toBe(0);
    await page.goto(`${rig.station.url}/runs/${bad?.runs[0]?.id}`);
    await page.getByTestId("why-not").getByRole("link", { name: "Why?" }).click();
    const name = `Run ${bad?.runs[0]?.number}`;
    await page.getByRole("heading", { name: `${name}: why was it not cut through?` }).waitFor();
    await page
      .getByText(/No run of .* went through|\d runs? of /)
      .first()
      .waitFor();
    await page.getByRole("link", { name: "All that is known of this run" }).waitFor();
  });
});
