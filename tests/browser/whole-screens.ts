import readModule from "jsqr";
import type { Locator, Page } from "playwright-core";
import sharp from "sharp";
import { expect } from "vitest";
import type { EntryLine } from "./whole-rig.js";

// A module of CommonJS that was made for bundlers: what it exports is one level down here.
const readQr = readModule as unknown as typeof readModule.default;

/** What was done at the screens, as the one who did it would write it down: the record is compared with this. */
export interface Diary {
  readonly entries: Done[];
  readonly cuts: Cut[];
  /** Ids, as the pages' addresses tell them. */
  readonly lots: string[];
  plan: string;
  /** As the page of the new plan shows it. */
  seed: number;
  /** As printed, which is in the order of cutting. */
  readonly labels: { code: string; block: number; place: number; address: string }[];
  /** The code of each piece that was cut anew, by that of the one in whose place. */
  readonly again: Map<string, string>;
  spoilt: string;
  flagged: string;
}

export function emptyDiary(): Diary {
  const nothing = { plan: "", seed: -1, spoilt: "", flagged: "" };
  return { entries: [], cuts: [], lots: [], labels: [], again: new Map(), ...nothing };
}

/** `entered`: between which two moments by the screen's own clock; null where the screen gives none. */
export type Done = Omit<EntryLine, "enteredWall"> & { readonly entered: readonly [number, number] | null };

/** A piece as the wall named it, and how it was cut. */
export interface Cut {
  readonly code: string;
  readonly lot: string;
  readonly speed: number;
  readonly power: number;
  readonly spacer: number;
  readonly cause: "screen" | "foot-switch";
  readonly coolant: number;
}

/** What a QR code in a picture says; undefined where none is found. */
export async function qrIn(picture: Buffer): Promise<string | undefined> {
  const { data, info } = await sharp(picture)
    .resize({ width: 900 })
    .ensureAlpha()
    .raw()
    .toBuffer({ resolveWithObject: true });
  return readQr(new Uint8ClampedArray(data), info.width, info.height)?.data;
}

/** Fills the fields of a form by their labels. */
export async function fill(
  form: Page | Locator,
  typed: readonly (readonly [RegExp, string])[],
): Promise<void> {
  const typing = form.locator("input:not([type=radio]), textarea");
  for (const [name, text] of typed) await form.getByLabel(name).and(typing).fill(text);
}

/** The code, the lot and the setting, as they stand one after another. */
const NAMED = /([A-Z0-9]{5})(L\d \D+)([\d.]+)\smm\/s\s+([\d.]+)\s%1 pass, spacer ([\d.]+)\smm/;

/** The screen at the machine, 800 by 480. */
export class WallScreen {
  constructor(
    readonly page: Page,
    readonly diary: Diary,
  ) {}

  at(id: string): Locator {
    return this.page.getByTestId(id);
  }

  code = async () => (await this.at("next-code").textContent()) ?? "";

  /** What the wall tells to be cut next. */
  async named(): Promise<Pick<Cut, "code" | "lot" | "speed" | "power" | "spacer">> {
    const words = (await this.at("need-cut").textContent()) ?? "";
    const [, code = "", lot = "", speed, power, spacer] = NAMED.exec(words) ?? [];
    expect(code, words).not.toBe("");
    return { code, lot, speed: Number(speed), power: Number(power), spacer: Number(spacer) };
  }

  /** Presses each check of the block by itself; nothing can be cut before the last. */
  async look(plan: string, block: number, checks: readonly string[]): Promise<void> {
    await this.at("need-checks")
      .getByRole("heading", { name: `Before block ${block}` })
      .waitFor();
    for (const [i, check] of checks.entries()) {
      const left = checks.length - i;
      await this.at("checks-done").getByText(`${left} more to look at`).waitFor();
      expect(await this.at("checks-done").getAttribute("aria-disabled")).toBe("true");
      // As long as a finger lies on it: nothing moves away under it meanwhile, on the first touch of the page neither.
      await this.at(`check-${check}`).click({ delay: 300 });
      const seen = await this.page.locator("main").textContent();
      expect(await this.at(`check-${check}`).isChecked(), seen ?? "").toBe(true);
    }
    await this.at("checks-done").click();
    await this.at("need-cut").waitFor();
    const body = { block, done: [...checks] };
    this.diary.entries.push({ kind: "checks", subject: plan, property: "", body, by: "wall", entered: null });
  }

  /** Cuts what the wall names. @param tread the foot switch; without it the buttons of the page */
  async cut(coolant: number, tread: (() => void) | null = null): Promise<string> {
    const next = await this.named();
    const being = this.at("need-cut").getByRole("heading", { name: "Being cut" });
    if (tread === null) await this.at("run-begin").click();
    else tread();
    await being.waitFor();
    expect(await this.code()).toBe(next.code);
    if (tread === null) await this.at("run-end").click();
    else tread();
    await being.waitFor({ state: "detached" });
    // The page knows that its run has ended a moment before the station names the next piece.
    await expect.poll(() => this.at("next-code").allTextContents()).not.toContain(next.code);
    const cause = tread === null ? "screen" : "foot-switch";
    this.diary.cuts.push({ ...next, cause, coolant });
    await this.at("run-begin").waitFor();
    return next.code;
  }

  /** A press on a reason of the panel that asks why. */
  async why(step: "skipped" | "spoilt", code: string, why: string): Promise<void> {
    await this.at("why-panel").getByRole("heading", { name: code }).waitFor();
    await this.at("why-panel").getByRole("button", { name: why }).click();
    await this.at("why-panel").waitFor({ state: "detached" });
    this.stepped(code, step, why);
  }

  stepped(code: string, step: string, why = ""): void {
    const body = { step, why };
    this.diary.entries.push({ kind: "step", subject: code, property: "", body, by: "wall", entered: null });
  }

  /** Something done to a specimen on the page of its plan, and back to the wall. */
  async onPlanPage(address: string, wall: string, code: string, press: string): Promise<void> {
    await this.page.goto(address);
    const line = this.at(`specimen-${code}`);
    await this.at(`actions-${code}`).click();
    await line.getByRole("button", { name: press }).click();
    await line.getByRole("button", { name: press }).waitFor({ state: "detached" });
    await this.page.goto(wall);
  }

  /** Waits until the wall shows what the water has come to. */
  async water(shown: string): Promise<void> {
    await this.at("coolant-value").getByText(shown).waitFor();
  }
}
