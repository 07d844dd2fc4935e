import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, expect } from "vitest";
import { type StationProcess, startStation, temporaryFolder } from "../service/station-process.js";
import { openBrowser } from "./chromium.js";
import { type Column, skylineOf } from "./skyline.js";

export const HOUR = 3_600_000;
export const DAY = 24 * HOUR;
/** The edges of the drawing within its canvas, as the page lays every panel out. */
export const [LEFT, RIGHT] = [52, 10];

export interface Shown {
  readonly from: number;
  readonly to: number;
}

export interface Held {
  readonly from: number;
  readonly to: number;
}

/**
 * A station over a filled journal, and its page History in a browser; both for all tests of the file.
 * @param fill fills the journal of a station in this folder up to a moment
 * @param config what goes into station.yaml; null for the simulated bench
 * @param fillWithinMs how long that may take
 */
export function historyRig<P extends Held>(
  fill: (folder: string, to: number) => P,
  config: object | null = null,
  fillWithinMs = 60_000,
) {
  const { folder, remove } = temporaryFolder();
  const complaints: string[] = [];
  let past: P;
  let station: StationProcess;
  let browser: Browser;
  let page: Page;
  const at = (id: string) => page.getByTestId(id);

  beforeAll(async () => {
    past = fill(folder, Math.floor(Date.now() / HOUR) * HOUR - 2 * HOUR);
    station = await startStation(folder, config);
    browser = await openBrowser();
    const context = await browser.newContext({
      viewport: { width: 1440, height: 900 },
      timezoneId: "Europe/London",
      colorScheme: "light",
    });
    page = await context.newPage();
    page.on("pageerror", (error) => complaints.push(error.message));
    page.on("console", (message) => {
      if (message.type() === "error") complaints.push(message.text());
    });
  }, fillWithinMs);
  afterAll(async () => {
    await browser?.close();
    await station?.stop();
    remove();
    expect(complaints, "what the browser complained of").toEqual([]);
  });

  const shown = async (): Promise<Shown> => {
    const place = at("span-shown");
    return {
      from: Number(await place.getAttribute("data-from")),
      to: Number(await place.getAttribute("data-to")),
    };
  };
  /** Waits for the page to have done what `deed` set off, the readings of the new span drawn. */
  const settled = () => page.locator(".history-stage[aria-busy=false]").waitFor();
  const changed = async (deed: () => Promise<unknown>): Promise<Shown> => {
    const { from, to } = await shown();
    await deed();
    await page.waitForFunction(
      ([f, t]) => {
        const { dataset } = document.querySelector<HTMLElement>("[data-testid=span-shown]") ?? {};
        return dataset !== undefined && (Number(dataset.from) !== f || Number(dataset.to) !== t);
      },
      [from, to] as const,
    );
    await settled();
    return shown();
  };
  const open = async (span: Shown, channels = "coolant-in,room-rh") => {
    const iso = (wall: number) => new Date(wall).toISOString();
    await page.goto(`${station.url}/history?from=${iso(span.from)}&to=${iso(span.to)}&channels=${channels}`);
    await at("charts").locator("canvas").first().waitFor();
    await settled();
  };
  const canvasBox = async () => {
    const box = await at("panel-Cel").locator("canvas").boundingBox();
    if (box === null) throw new Error("no panel of temperatures");
    return box;
  };
  /** Where a moment lies on the page. */
  const xOf = async (wall: number) => {
    const { from, to } = await shown();
    const box = await canvasBox();
    return box.x + LEFT + ((wall - from) / (to - from)) * (box.width - LEFT - RIGHT);
  };
  /**
   * Of the rows between two shares of the panel's height, the share that is drawn on in full ink within `px` of a moment.
   */
  const inked = async (wall: number, px: number, upper: number, lower: number): Promise<number> => {
    const x = (await xOf(wall)) - (await canvasBox()).x;
    return at("panel-Cel")
      .locator("canvas")
      .evaluate(
        (canvas, [middle, around, top, bottom]) => {
          const element = canvas as HTMLCanvasElement;
          const scale = element.width / element.clientWidth;
          const left = Math.round((middle - around) * scale);
          const width = Math.max(1, Math.round(2 * around * scale));
          const first = Math.round(element.height * top);
          const height = Math.round(element.height * bottom) - first;
          const pixels = element.getContext("2d")?.getImageData(left, first, width, height).data;
          let rows = 0;
          for (let row = 0; row < height; row += 1) {
            let most = 0;
            for (let i = 0; i < width; i += 1)
              most = Math.max(most, pixels?.[(row * width + i) * 4 + 3] ?? 0);
            if (most > 120) rows += 1;
          }
          return rows / height;
        },
        [x, px, upper, lower] as const,
      );
  };

  /** What the line of the temperatures reaches up to, from pixel to pixel; not the strip of bad readings at its foot. */
  const skyline = async (): Promise<readonly Column[]> => {
    return at("panel-Cel")
      .locator("canvas")
      .evaluate(skylineOf, { left: LEFT, right: RIGHT, above: 0, below: 36 });
  };
  return {
    at,
    shown,
    skyline,
    settled,
    changed,
    open,
    canvasBox,
    xOf,
    inked,
    /** Takes back the browser's complaints of what a test has brought about itself. */
    forgive(words: RegExp) {
      for (let i = complaints.length - 1; i >= 0; i -= 1)
        if (words.test(complaints[i] ?? "")) complaints.splice(i, 1);
    },
    /** All that was filled in, and an hour on either side. */
    whole: (): Shown => ({ from: past.from - HOUR, to: past.to + HOUR }),
    get past() {
      return past;
    },
    get page() {
      return page;
    },
  };
}
