import { mkdirSync } from "node:fs";
import { join } from "node:path";
import type { Browser } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { GradingSheet } from "../../station/model/specimen.js";
import { eventually } from "../service/station-process.js";
import { drawing } from "../unit/trials/photos/pictures.js";
import { openBrowser } from "./chromium.js";
import { FIND_SHED, GradingPhone } from "./grading-phone.js";
import { GradingRig } from "./grading-rig.js";

const JUDGED = ["through", "back_fuzz", "edge_darkness"] as const;
const BENDING = ["bend_span_mm", "bend_width_mm", "bend_thickness_mm", "bend_break_N"] as const;

describe("grading with care for what may go wrong", () => {
  const rig = new GradingRig();
  let browser: Browser;
  let phone: GradingPhone;
  let codes: readonly string[];
  const at = (id: string) => phone.at(id);
  const code = (i: number) => codes[i] as string;
  const sheet = (i: number, grading = 1) =>
    rig.station.get<GradingSheet>(`/api/specimens/${code(i)}?grading=${grading}`);

  beforeAll(async () => {
    await rig.begin([...JUDGED, "press_out_N", ...BENDING], 3);
    codes = (await rig.specimens()).map((specimen) => specimen.code);
    browser = await openBrowser([FIND_SHED]);
    phone = await GradingPhone.named("first phone", rig, browser);
  });
  afterAll(async () => {
    await browser?.close();
    await rig.end();
  });

  it("keeps what the station will not take, with its words, until somebody has read them", async () => {
    await phone.open(`/s/${code(0)}`);
    const why = "There is no specimen with this code.";
    await phone.page.route("**/api/entries", async (route) => {
      const { entries } = route.request().postDataJSON() as { entries: { entry: string }[] };
      const answers = entries.map(({ entry }) => ({ entry, became: "refused", why }));
      await route.fulfill({ json: { entries: answers } });
    });
    await phone.press("through", 3);
    await at("refused").getByText(why).waitFor();
    await phone.page.unroute("**/api/entries");
    await phone.page.reload();
    await at("refused").getByText(why).waitFor();
    await at("dismiss").tap();
    await at("refused").waitFor({ state: "detached" });
    await phone.page.reload();
    await at("specimen-code").waitFor();
    expect(await at("refused").count()).toBe(0);
    expect(rig.kept(code(0))).toEqual([]);
  });

  it("refuses a file that is no picture with the station's words", async () => {
    await at("photo-input").setInputFiles({
      name: "edge.jpg",
      mimeType: "image/jpeg",
      buffer: Buffer.from("not a picture at all"),
    });
    await at("refused")
      .getByText(/a photo/)
      .first()
      .waitFor();
    await at("dismiss").tap();
    await at("photo-waiting").waitFor({ state: "detached" });
    expect(rig.kept(code(0))).toEqual([]);
  });

  it("takes a force as the scale shows it", async () => {
    await at("unit-press_out_N").tap();
    await phone.measure("press_out_N", "2,5");
    await eventually(async () => (await sheet(0)).grades.press_out_N?.value === 24.52, "2.5 kg in newtons");
    await at("measure-press_out_N").getByText("Given: 24.52 N").waitFor();
    await at("unit-press_out_N").tap();
    expect(await at("measure-press_out_N").getByRole("textbox").inputValue()).toBe("24.52");
  });

  it("says at once where the browser has no room", async () => {
    await phone.page.evaluate(() => {
      IDBObjectStore.prototype.add = () => {
        throw new DOMException("full", "QuotaExceededError");
      };
    });
    await phone.press("through", 1);
    await at("not-kept")
      .getByText(/this browser has no more room/)
      .waitFor();
    expect(await at("grade-through-1").getAttribute("aria-pressed")).toBe("false");
  });

  it("says at once where the browser keeps nothing, and sends all the same", async () => {
    const shut = await GradingPhone.named("private window", rig, browser);
    await shut.context.addInitScript(() => {
      IDBFactory.prototype.open = () => {
        throw new DOMException("not allowed", "InvalidStateError");
      };
    });
    await shut.open(`/s/${code(2)}`);
    await shut.at("keeps-nothing").waitFor();
    await shut.grade("through", 1);
    await eventually(() => rig.kept(code(2)).length === 1, "the grade");
    await shut.context.close();
  });

  it("hides the first grades from who grades a second time", async () => {
    await phone.open(`/s/${code(1)}`);
    for (const property of JUDGED) await phone.grade(property, 1);
    await at("second-note")
      .getByText(/by another person/)
      .waitFor();
    await eventually(() => rig.kept(code(1)).length === 3, "the first grading");
    const other = await GradingPhone.named("second phone", rig, browser);
    const pressed = () => other.page.locator("[aria-pressed=true]").count();
    await other.open(`/s/${code(1)}`);
    await other.at("second-gate").waitFor();
    expect(await pressed()).toBe(0);
    await other.at("second-begin").tap();
    await other.at("grade-through-0").waitFor();
    expect(await pressed()).toBe(0);
    expect(await other.at("measure-press_out_N").count()).toBe(0);
    await other.grade("through", 2);
    await eventually(async () => (await sheet(1, 2)).grades.through?.value === 2, "the second grade");
    expect((await sheet(1)).grades.through?.value).toBe(1);
    await other.context.close();
  });

  it("is no wider than any screen, in light and dark, with and without the station", async () => {
    const shots = process.env.SHOTS;
    if (shots !== undefined) mkdirSync(shots, { recursive: true });
    const picture = await drawing(900, 600).png().toBuffer();
    for (const colorScheme of ["light", "dark"] as const) {
      for (const viewport of [
        { width: 390, height: 844 },
        { width: 800, height: 480 },
      ]) {
        const screen = await GradingPhone.named("first phone", rig, browser, { viewport, colorScheme });
        const look = async (name: string) => {
          expect(await screen.overhang(), `${name} at ${viewport.width}`).toBeLessThanOrEqual(0);
          if (shots === undefined) return;
          const file = `${name}-${viewport.width}-${colorScheme}.png`;
          await screen.page.screenshot({ path: join(shots, file), animations: "disabled" });
        };
        await screen.open(`/s/${code(1)}`);
        await screen.at("progress").waitFor();
        await look("specimen");
        await screen.at("bending").scrollIntoViewIfNeeded();
        await look("bending");
        await screen.context.setOffline(true);
        await screen.at("alone").waitFor();
        await screen.grade("through", 1 + (viewport.width % 3));
        await screen
          .at("photo-input")
          .setInputFiles({ name: "a.png", mimeType: "image/png", buffer: picture });
        await screen.at("photo-waiting").locator("img[src^=blob]").waitFor();
        await screen.at("waiting-line").waitFor();
        await screen.at("photos").scrollIntoViewIfNeeded();
        await look("photos-alone");
        await screen.at("grade-through-0").scrollIntoViewIfNeeded();
        await screen.page.evaluate(() => document.querySelector(".main")?.scrollTo(0, 0));
        await look("alone");
        await screen.page.getByRole("link", { name: "Another code, and what waits" }).click();
        await screen.at("waiting-line").waitFor();
        await look("grade");
        await screen.backAndTryNow();
        await screen
          .at("waiting")
          .getByText(/Nothing:/)
          .waitFor();
        await screen.context.close();
      }
    }
  });

  it("made the browser complain of nothing", () => {
    expect(phone.complaints).toEqual([]);
  });
});
