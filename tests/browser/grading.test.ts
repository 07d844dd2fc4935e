import { mkdirSync } from "node:fs";
import { join } from "node:path";
import type { Browser, BrowserContext, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { GradingSheet } from "../../station/model/specimen.js";
import { eventually } from "../service/station-process.js";
import { drawing } from "../unit/trials/photos/pictures.js";
import { openBrowser } from "./chromium.js";
import { GradingRig, SHED } from "./grading-rig.js";

const PHONE = { viewport: { width: 390, height: 844 }, hasTouch: true, isMobile: true };
const CUTS = 6;
const nameFirst = () => localStorage.setItem("station.screen-name", "first phone");

describe("grading on a phone, over the built station", () => {
  const rig = new GradingRig();
  let browser: Browser;
  let context: BrowserContext;
  let page: Page;
  let codes: readonly string[];
  const complaints: string[] = [];
  const at = (id: string) => page.getByTestId(id);
  const sheet = (code: string, grading = 1) =>
    rig.station.get<GradingSheet>(`/api/specimens/${code}?grading=${grading}`);
  const open = async (path: string, on = context) => {
    const opened = await on.newPage();
    opened.on("pageerror", (error) => complaints.push(error.message));
    opened.on("console", (message) => {
      if (/Content Security Policy|violates/.test(message.text())) complaints.push(message.text());
    });
    await opened.goto(rig.address(path));
    return opened;
  };
  const code = (i: number) => codes[i] as string;
  const grade = (property: string, place: number) => at(`grade-${property}-${place}`).tap();
  const given = (property: string, place: number) =>
    page.locator(`[data-testid=grade-${property}-${place}][aria-pressed=true]`).waitFor();

  beforeAll(async () => {
    await rig.begin(["through", "back_fuzz", "edge_darkness", "press_out_N"], CUTS);
    codes = (await rig.specimens()).map((specimen) => specimen.code);
    browser = await openBrowser([`--host-resolver-rules=MAP ${SHED} 127.0.0.1`]);
    context = await browser.newContext(PHONE);
    await context.addInitScript(nameFirst);
  });
  afterAll(async () => {
    await browser?.close();
    await rig.end();
  });

  it("opens by its code as somebody typed it, and tells neither lot nor setting", async () => {
    page = await open("/grade");
    expect(await page.evaluate(() => window.isSecureContext)).toBe(false);
    await at("code").fill(`${code(0).slice(0, 4)}`);
    await at("code-open").tap();
    await page.getByText("A code has 5 characters, this has 4.").waitFor();
    await at("code").fill(` ${code(0).slice(0, 2).toLowerCase()}-${code(0).slice(2)}`);
    await at("code-open").tap();
    await at("specimen-code").getByText(code(0), { exact: true }).waitFor();
    expect(new URL(page.url()).pathname).toBe(`/s/${code(0)}`);
    await page.getByText("P1, Two boards").waitFor();
    expect(await page.locator("main").textContent()).not.toMatch(/Quayside|Harbour|mm\/s/);
  });

  it("has buttons for wet fingers, well apart, and nothing wider than the phone", async () => {
    const boxes = await Promise.all([0, 1, 2, 3].map((i) => at(`grade-through-${i}`).boundingBox()));
    for (const [i, box] of boxes.entries()) {
      expect(box?.height).toBeGreaterThanOrEqual(56);
      const next = boxes[i + 1];
      if (box && next) expect(next.y - box.y - box.height).toBeGreaterThanOrEqual(12);
    }
    const overhang = await page.evaluate(
      () => document.documentElement.scrollWidth - document.documentElement.clientWidth,
    );
    expect(overhang).toBeLessThanOrEqual(0);
  });

  it("keeps a grade, shows what it was before, and takes it back", async () => {
    await grade("through", 1);
    await given("through", 1);
    await at("given-through")
      .getByText(/^Kept,/)
      .waitFor();
    await grade("through", 0);
    await given("through", 0);
    await at("given-through")
      .getByText(/^Was: Finger/)
      .waitFor();
    await at("take-back-through").tap();
    await at("given-through").getByText("Not given yet.").waitFor();
    await eventually(() => rig.kept(code(0)).length === 3, "three entries");
    expect(rig.kept(code(0)).map(({ value }) => value)).toEqual([1, 0, null]);
    expect((await sheet(code(0))).grades).toEqual({});
  });

  it("sends again what it has no answer for, and it is kept once", async () => {
    let lost = 0;
    await page.route("**/api/entries", async (route) => {
      if (lost > 0) return route.continue();
      lost += 1;
      // The station gets it, and its answer does not come back.
      await rig.done("POST", "/api/entries", route.request().postDataJSON());
      await route.abort();
    });
    await grade("through", 2);
    await given("through", 2);
    await at("given-through")
      .getByText(/^Kept,/)
      .waitFor();
    await page.unroute("**/api/entries");
    expect(lost).toBe(1);
    expect(rig.kept(code(0)).map(({ value }) => value)).toEqual([1, 0, null, 2]);
  });

  it("goes on while the station is gone, and brings everything once and in order after its restart, in another page", async () => {
    const before = rig.kept(code(0)).length;
    await rig.station.kill();
    await at("alone").waitFor();
    expect(await page.locator(".frame").getAttribute("inert")).toBeNull();
    const pressed: { from: number; to: number }[] = [];
    const press = async (act: () => Promise<unknown>, seen: () => Promise<unknown>) => {
      const from = Date.now();
      await act();
      await seen();
      pressed.push({ from, to: Date.now() });
    };
    await press(
      () => grade("back_fuzz", 1),
      () => given("back_fuzz", 1),
    );
    await press(
      () => grade("edge_darkness", 3),
      () => given("edge_darkness", 3),
    );
    const force = at("measure-press_out_N").getByRole("textbox");
    await force.fill("9999");
    await at("keep-press_out_N").tap();
    await at("measure-press_out_N").getByText("Not kept. Expected: 0 to 5000 N").waitFor();
    await press(
      async () => {
        await force.fill("12,5 n");
        await at("keep-press_out_N").tap();
      },
      () =>
        at("given-press_out_N")
          .getByText(/waits here/)
          .waitFor(),
    );
    await press(
      async () =>
        at("photo-input").setInputFiles({
          name: "edge.png",
          mimeType: "image/png",
          buffer: await drawing(3000, 1500).png().toBuffer(),
        }),
      () => at("photo-waiting").locator("img[src^=blob]").waitFor(),
    );
    // Changed before it was ever sent: both are kept.
    await press(
      () => grade("back_fuzz", 2),
      () => given("back_fuzz", 2),
    );
    await at("waiting-notice").getByText("4 grades and 1 photo wait for the station").waitFor();
    await at("given-back_fuzz")
      .getByText(/^Was: A little/)
      .waitFor();
    await page.close();

    await rig.start();
    page = await open("/runs");
    const kept = await eventually(() => {
      const lines = rig.kept(code(0)).slice(before);
      return lines.length >= 5 ? lines : null;
    }, "what waited");
    await at("waiting-notice").waitFor({ state: "detached" });
    expect(rig.kept(code(0)).slice(before)).toEqual(kept);
    const grades = kept.filter(({ kind }) => kind === "grade");
    expect(grades.map(({ property, value }) => [property, value])).toEqual([
      ["back_fuzz", 1],
      ["edge_darkness", 3],
      ["press_out_N", 12.5],
      ["back_fuzz", 2],
    ]);
    const [photo] = kept.filter(({ kind }) => kind === "photo");
    const inOrder = [...grades.slice(0, 3), photo, grades[3]];
    for (const [i, line] of inOrder.entries()) {
      expect(line?.enteredWall, `${line?.property}`).toBeGreaterThanOrEqual(pressed[i]?.from ?? Infinity);
      expect(line?.enteredWall, `${line?.property}`).toBeLessThanOrEqual(pressed[i]?.to ?? 0);
      expect(line?.by).toBe("first phone");
    }
    const { photos } = await sheet(code(0));
    // Made smaller here, and not by the station alone.
    expect(photos.map(({ width, height }) => [width, height])).toEqual([[2048, 1024]]);
  });

  it("grades the next specimen of the plan without a connection, and sends when it is back, with the page open", async () => {
    await page.goto(rig.address(`/s/${code(0)}`));
    await at("photo-kept").locator("img").waitFor();
    await at("next-specimen")
      .getByText(`Next: ${code(1)}`)
      .waitFor();
    await context.setOffline(true);
    await at("next-specimen").tap();
    await at("specimen-code").getByText(code(1), { exact: true }).waitFor();
    await grade("through", 0);
    await given("through", 0);
    await at("waiting-line")
      .getByText(/1 grade waits/)
      .waitFor();
    await page.getByRole("link", { name: "Another code, and what waits" }).tap();
    await at("lately").getByText(code(1)).waitFor();
    await at("waiting")
      .getByText(/1 grade waits/)
      .waitFor();
    await context.setOffline(false);
    await at("send-now").tap();
    await at("waiting")
      .getByText(/Nothing: the station has everything/)
      .waitFor();
    expect(rig.kept(code(1)).map(({ value }) => value)).toEqual([0]);
  });

  it("keeps what the station will not take, with its words, until somebody has read them", async () => {
    await page.goto(rig.address(`/s/${code(2)}`));
    const why = "There is no specimen with this code.";
    await page.route("**/api/entries", async (route) => {
      const { entries } = route.request().postDataJSON() as { entries: { entry: string }[] };
      const answers = entries.map(({ entry }) => ({ entry, became: "refused", why }));
      await route.fulfill({ json: { entries: answers } });
    });
    await grade("through", 3);
    await at("refused").getByText(why).waitFor();
    await page.unroute("**/api/entries");
    await page.reload();
    await at("refused").getByText(why).waitFor();
    await at("dismiss").tap();
    await at("refused").waitFor({ state: "detached" });
    await page.reload();
    await at("specimen-code").waitFor();
    expect(await at("refused").count()).toBe(0);
    expect(rig.kept(code(2))).toEqual([]);
  });

  it("says at once where the browser has no room, or keeps nothing at all", async () => {
    page = await open(`/s/${code(2)}`);
    await at("specimen-code").waitFor();
    await page.evaluate(() => {
      IDBObjectStore.prototype.add = () => {
        throw new DOMException("full", "QuotaExceededError");
      };
    });
    await grade("through", 1);
    await at("not-kept")
      .getByText(/this browser has no more room/)
      .waitFor();
    expect(await at("grade-through-1").getAttribute("aria-pressed")).toBe("false");
    const private_ = await browser.newContext(PHONE);
    await private_.addInitScript(() => {
      IDBFactory.prototype.open = () => {
        throw new DOMException("not allowed", "InvalidStateError");
      };
    });
    page = await open(`/s/${code(2)}`, private_);
    await at("keeps-nothing").waitFor();
    await grade("through", 1);
    await given("through", 1);
    await eventually(() => rig.kept(code(2)).length === 1, "the grade");
    await private_.close();
  });

  it("hides the first grades from who grades a second time", async () => {
    page = await open(`/s/${code(3)}`);
    for (const property of ["through", "back_fuzz", "edge_darkness"]) {
      await grade(property, 1);
      await given(property, 1);
    }
    await at("second-note")
      .getByText(/by another person/)
      .waitFor();
    await eventually(() => rig.kept(code(3)).length === 3, "the first grading");
    const other = await browser.newContext(PHONE);
    await other.addInitScript(() => localStorage.setItem("station.screen-name", "second phone"));
    page = await open(`/s/${code(3)}`, other);
    await at("second-gate").waitFor();
    expect(await page.locator("[aria-pressed=true]").count()).toBe(0);
    await at("second-begin").tap();
    await at("grade-through-0").waitFor();
    expect(await page.locator("[aria-pressed=true]").count()).toBe(0);
    expect(await at("measure-press_out_N").count()).toBe(0);
    await grade("through", 2);
    await given("through", 2);
    await eventually(async () => (await sheet(code(3), 2)).grades.through?.value === 2, "the second grade");
    expect((await sheet(code(3))).grades.through?.value).toBe(1);
    await other.close();
  });

  it("is readable on a phone and on the wall, in light and dark", async () => {
    const shots = process.env.SHOTS;
    if (shots !== undefined) mkdirSync(shots, { recursive: true });
    for (const colorScheme of ["light", "dark"] as const) {
      for (const [width, height] of [
        [390, 844],
        [800, 480],
      ] as const) {
        const screen = await browser.newContext({ viewport: { width, height }, colorScheme });
        await screen.addInitScript(nameFirst);
        for (const [name, path] of [
          ["specimen", `/s/${code(0)}`],
          ["grade", "/grade"],
        ] as const) {
          page = await open(path, screen);
          await page.locator("h1").waitFor();
          if (name === "specimen") await at("progress").waitFor();
          const overhang = await page.evaluate(
            () => document.documentElement.scrollWidth - document.documentElement.clientWidth,
          );
          expect(overhang, `${name} at ${width}`).toBeLessThanOrEqual(0);
          if (shots !== undefined)
            await page.screenshot({ path: join(shots, `${name}-${width}-${colorScheme}.png`) });
        }
        await screen.close();
      }
    }
  });

  it("made the browser complain of nothing", () => {
    expect(complaints).toEqual([]);
  });
});
