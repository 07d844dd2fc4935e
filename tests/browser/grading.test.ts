import type { Browser } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { GradingSheet } from "../../station/model/specimen.js";
import { eventually } from "../service/station-process.js";
import { drawing } from "../unit/trials/photos/pictures.js";
import { openBrowser } from "./chromium.js";
import { FIND_SHED, GradingPhone } from "./grading-phone.js";
import { GradingRig } from "./grading-rig.js";

describe("grading on a phone whose station comes and goes", () => {
  const rig = new GradingRig();
  let browser: Browser;
  let phone: GradingPhone;
  let codes: readonly string[];
  const at = (id: string) => phone.at(id);
  const code = (i: number) => codes[i] as string;
  const values = (i: number) => rig.kept(code(i)).map(({ value }) => value);

  beforeAll(async () => {
    await rig.begin(["through", "back_fuzz", "edge_darkness", "press_out_N"], 3);
    codes = (await rig.specimens()).map((specimen) => specimen.code);
    browser = await openBrowser([FIND_SHED]);
    phone = await GradingPhone.named("first phone", rig, browser);
  });
  afterAll(async () => {
    await browser?.close();
    await rig.end();
  });

  it("opens by its code as somebody typed it, and tells neither lot nor setting", async () => {
    await phone.open("/grade");
    // As every phone's: what a browser gives to https alone is not there.
    expect(await phone.page.evaluate(() => window.isSecureContext)).toBe(false);
    await at("code").fill(code(0).slice(0, 4));
    await at("code-open").tap();
    await phone.page.getByText("A code has 5 characters, this has 4.").waitFor();
    await at("code").fill(` ${code(0).slice(0, 2).toLowerCase()}-${code(0).slice(2)}`);
    await at("code-open").tap();
    await at("specimen-code").getByText(code(0), { exact: true }).waitFor();
    expect(new URL(phone.page.url()).pathname).toBe(`/s/${code(0)}`);
    await phone.page.getByText("P1, Two boards").waitFor();
    expect(await phone.page.locator("main").textContent()).not.toMatch(/Quayside|Harbour|mm\/s/);
  });

  it("has buttons for wet fingers, well apart, none of which moves when one is pressed", async () => {
    const look = () => Promise.all([0, 1, 2, 3].map((i) => at(`grade-through-${i}`).boundingBox()));
    const boxes = await look();
    for (const [i, box] of boxes.entries()) {
      expect(box?.height).toBeGreaterThanOrEqual(56);
      const next = boxes[i + 1];
      if (box && next) expect(next.y - box.y - box.height).toBeGreaterThanOrEqual(12);
    }
    // The first touch of the page: sound is allowed by it, too.
    await at("grade-through-1").tap();
    await phone.grade("through", 1);
    expect(await look()).toEqual(boxes);
    expect(await phone.overhang()).toBeLessThanOrEqual(0);
  });

  it("keeps a grade, shows what it was before, and takes it back", async () => {
    await at("given-through")
      .getByText(/^Kept,/)
      .waitFor();
    await phone.grade("through", 0);
    await at("given-through")
      .getByText(/^Was: Finger/)
      .waitFor();
    await at("take-back-through").tap();
    await at("given-through").getByText("Not given yet.").waitFor();
    await eventually(() => values(0).length === 3, "three entries");
    expect(values(0)).toEqual([1, 0, null]);
    expect((await rig.station.get<GradingSheet>(`/api/specimens/${code(0)}`)).grades).toEqual({});
  });

  it("sends again what it has no answer for, and it is kept once", async () => {
    let lost = 0;
    await phone.page.route("**/api/entries", async (route) => {
      if (lost > 0) return route.continue();
      lost += 1;
      // The station gets it, and its answer does not come back.
      await rig.done("POST", "/api/entries", route.request().postDataJSON());
      await route.abort();
    });
    await phone.grade("through", 2);
    await at("given-through")
      .getByText(/^Kept,/)
      .waitFor();
    await phone.page.unroute("**/api/entries");
    expect(lost).toBe(1);
    expect(values(0)).toEqual([1, 0, null, 2]);
  });

  it("goes on while the station is gone, and brings everything once and in order after its restart, in another page", async () => {
    const before = rig.kept(code(0)).length;
    await rig.station.kill();
    await at("alone").waitFor();
    expect(await phone.page.locator(".frame").getAttribute("inert")).toBeNull();
    const pressed: { from: number; to: number }[] = [];
    const timed = async (act: () => Promise<unknown>) => {
      const from = Date.now();
      await act();
      pressed.push({ from, to: Date.now() });
    };
    await timed(() => phone.grade("back_fuzz", 1));
    await timed(() => phone.grade("edge_darkness", 3));
    await phone.measure("press_out_N", "9999");
    await at("measure-press_out_N").getByText("Not kept. Expected: 0 to 5000 N").waitFor();
    await timed(async () => {
      await phone.measure("press_out_N", "12,5 n");
      await at("given-press_out_N")
        .getByText(/waits here/)
        .waitFor();
    });
    const picture = await drawing(3000, 1500).png().toBuffer();
    await timed(async () => {
      await at("photo-input").setInputFiles({ name: "edge.png", mimeType: "image/png", buffer: picture });
      await at("photo-waiting").locator("img[src^=blob]").waitFor();
    });
    // Changed before it was ever sent: both are kept.
    await timed(() => phone.grade("back_fuzz", 2));
    await at("waiting-line").getByText("4 grades and 1 photo wait").waitFor();
    await at("given-back_fuzz")
      .getByText(/^Was: A little/)
      .waitFor();
    await phone.page.close();

    await rig.start();
    await phone.open("/runs");
    const kept = await eventually(
      () => {
        const lines = rig.kept(code(0)).slice(before);
        return lines.length >= 5 ? lines : null;
      },
      "what waited",
      60_000,
    );
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
    for (const [i, line] of [...grades.slice(0, 3), photo, grades[3]].entries()) {
      expect(line?.enteredWall, `${i}`).toBeGreaterThanOrEqual(pressed[i]?.from ?? Number.POSITIVE_INFINITY);
      expect(line?.enteredWall, `${i}`).toBeLessThanOrEqual(pressed[i]?.to ?? 0);
      expect(line?.by).toBe("first phone");
    }
    const { photos } = await rig.station.get<GradingSheet>(`/api/specimens/${code(0)}`);
    expect(photos.map(({ width, height }) => [width, height])).toEqual([[2048, 1024]]);
  });

  it("grades the next specimen of the plan without a connection, and sends when it is back, with the page open", async () => {
    await phone.page.goto(rig.address(`/s/${code(0)}`));
    await at("photo-kept").locator("img").waitFor();
    await at("next-specimen")
      .getByText(`Next: ${code(1)}`)
      .waitFor();
    await phone.context.setOffline(true);
    await at("next-specimen").tap();
    await at("specimen-code").getByText(code(1), { exact: true }).waitFor();
    await phone.grade("through", 0);
    await at("waiting-line")
      .getByText(/1 grade waits/)
      .waitFor();
    await phone.page.getByRole("link", { name: "Another code, and what waits" }).tap();
    await at("lately").getByText(code(1)).waitFor();
    await at("waiting")
      .getByText(/1 grade waits/)
      .waitFor();
    // Typed without a connection: known by its plan.
    await at("code").fill(code(2).toLowerCase());
    await at("code-open").tap();
    await at("specimen-code").getByText(code(2), { exact: true }).waitFor();
    await phone.grade("through", 3);
    await phone.page.getByRole("link", { name: "Another code, and what waits" }).tap();
    await phone.backAndTryNow();
    await at("waiting")
      .getByText(/Nothing: the station has everything/)
      .waitFor();
    expect([values(1), values(2)]).toEqual([[0], [3]]);
  });

  it("made the browser complain of nothing", () => {
    expect(phone.complaints).toEqual([]);
  });
});
