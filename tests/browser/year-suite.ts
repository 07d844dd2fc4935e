import { readFile } from "node:fs/promises";
import type { Download } from "playwright-core";
import { describe, expect, it } from "vitest";
import type { Marks } from "../../station/model/marks.js";
import type { Series } from "../../station/model/now.js";
import { DEMO_CONFIG } from "../../station/sources/bench-simulator/channels.js";
import { fillYear } from "./filled-year.js";
import { DAY, HOUR, historyRig, LEFT, RIGHT, type Shown } from "./history-rig.js";
import { type Column, peakOf, skylineOf } from "./skyline.js";

const SECOND = 1000;
const SCREENS = [
  [1280, 800],
  [800, 480],
  [390, 844],
] as const;

/** The bench, with channels whose readings may be minutes apart without a gap. */
const SLOW = {
  ...DEMO_CONFIG,
  channels: DEMO_CONFIG.channels.map((channel) =>
    ["coolant-in", "room-t", "room-rh"].includes(channel.id) ? { ...channel, stale_after_s: 300 } : channel,
  ),
};

/**
 * A year in the file, driven in a browser. What is looked for is found in the picture, as a person finds it.
 * @param everyMs of the readings; see `fillYear`
 */
export function describeYear(everyMs: number, fillWithinMs: number): void {
  describe(`the page History over a year of three channels, a reading each ${everyMs / SECOND} s`, () => {
    const rig = historyRig((folder, to) => fillYear(folder, to, everyMs), SLOW, fillWithinMs);
    const { at, shown, changed, settled, open, whole, canvasBox, skyline } = rig;

    /** From places on the panel, px from its left edge, to moments. */
    const scale = async () => {
      const { from, to } = await shown();
      const { width, height } = await canvasBox();
      const msPerPx = (to - from) / (width - LEFT - RIGHT);
      return { msPerPx, height, momentAt: (x: number) => from + (x - LEFT) * msPerPx };
    };
    /** The moment of the peak, and how near it is to what was put there, in pixels of the drawing. */
    const spikeInPicture = async () => {
      const { x, byPx } = peakOf(await skyline());
      const { msPerPx, height, momentAt } = await scale();
      const moment = momentAt(x);
      return { x, moment, offPx: Math.abs(moment - rig.past.spike.wall) / msPerPx, above: byPx / height };
    };
    /** Columns that lie well inside a stretch of time. */
    const columnsIn = async ({ from, to }: Shown): Promise<readonly Column[]> => {
      const { momentAt } = await scale();
      const edge = (to - from) / 10;
      return (await skyline()).filter(({ x }) => momentAt(x) > from + edge && momentAt(x) < to - edge);
    };

    it.each(SCREENS)("shows its one second at 31 °C on a screen of %d by %d", async (width, height) => {
      await rig.page.setViewportSize({ width, height });
      await open(whole(), "coolant-in,room-t,room-rh");
      const { offPx, above } = await spikeInPicture();
      // A bucket is drawn in its middle, and may be 1.4 pixels wide.
      expect(offPx).toBeLessThan(2.5);
      expect(above).toBeGreaterThan(0.2);
    });

    it("is followed in the picture from the year down to the second, with mouse, wheel, keys and fingers", async () => {
      await rig.page.setViewportSize({ width: 1280, height: 800 });
      await open(whole(), "coolant-in,room-rh");
      const y = (await canvasBox()).y + 60;
      const left = (await canvasBox()).x;
      const length = ({ from, to }: Shown) => to - from;

      const year = await spikeInPicture();
      const dragged = await changed(async () => {
        await rig.page.mouse.move(left + year.x - 15, y);
        await rig.page.mouse.down();
        await rig.page.mouse.move(left + year.x, y, { steps: 3 });
        await rig.page.mouse.move(left + year.x + 15, y, { steps: 3 });
        await rig.page.mouse.up();
      });
      expect(length(dragged)).toBeLessThan(12 * DAY);

      const days = await spikeInPicture();
      expect(days.offPx).toBeLessThan(2.5);
      await rig.page.mouse.move(left + days.x, y);
      const wheeled = await changed(() => rig.page.mouse.wheel(0, -960));
      expect(length(wheeled) / length(dragged)).toBeCloseTo(1 / 16, 2);

      await at("charts").focus();
      for (let presses = 0; length(await shown()) > HOUR / 2; presses += 1) {
        expect(presses).toBeLessThan(60);
        const { x, offPx } = await spikeInPicture();
        expect(offPx).toBeLessThan(2.5);
        const share = (x - LEFT) / ((await canvasBox()).width - LEFT - RIGHT);
        const key = share < 0.35 ? "ArrowLeft" : share > 0.65 ? "ArrowRight" : "+";
        await changed(() => rig.page.keyboard.press(key));
      }

      const touch = await rig.page.context().newCDPSession(rig.page);
      for (let pinches = 0; length(await shown()) > 60 * SECOND; pinches += 1) {
        expect(pinches).toBeLessThan(20);
        const { x } = await spikeInPicture();
        // As far as two fingers spread where the peak lies near an edge.
        const room = Math.min(x - LEFT, (await canvasBox()).width - RIGHT - x, 300);
        const fingers = (apart: number) => [-apart, apart].map((by, id) => ({ x: left + x + by, y, id }));
        await changed(async () => {
          await touch.send("Input.dispatchTouchEvent", {
            type: "touchStart",
            touchPoints: fingers(room / 4),
          });
          for (const apart of [room / 2, room]) {
            await touch.send("Input.dispatchTouchEvent", { type: "touchMove", touchPoints: fingers(apart) });
          }
          await touch.send("Input.dispatchTouchEvent", { type: "touchEnd", touchPoints: [] });
        });
      }
      await touch.detach();
      const { moment, above } = await spikeInPicture();
      expect(Math.abs(moment - rig.past.spike.wall)).toBeLessThan(SECOND / 2);
      // The line falls to the neighbours over a second, which is 18 pixels now.
      expect(above).toBeGreaterThan(0.15);
    });

    it("is in the one bucket of the year's table and in the saved picture, too", async () => {
      await open(whole(), "coolant-in");
      const save = async (button: string): Promise<Download> => {
        const download = rig.page.waitForEvent("download");
        await at(button).click();
        return download;
      };
      const table = await readFile(await (await save("save-csv")).path(), "utf8");
      const rows = table
        .trimEnd()
        .split("\r\n")
        .slice(1)
        .map((row) => row.split(","));
      const high = rows.findIndex(([, , , max]) => Number(max) > 30);
      expect(Number(rows[high]?.[3])).toBe(rig.past.spike.value);
      expect(rows.filter(([, , , max]) => Number(max) > 25)).toHaveLength(1);
      expect(Date.parse(rows[high]?.[0] ?? "")).toBeLessThanOrEqual(rig.past.spike.wall);
      expect(Date.parse(rows[high + 1]?.[0] ?? "")).toBeGreaterThan(rig.past.spike.wall);

      const box = await canvasBox();
      const picture = await readFile(await (await save("save-picture")).path());
      await rig.page.evaluate(
        async ([base64, width]) => {
          const image = new Image();
          image.src = `data:image/png;base64,${base64}`;
          await image.decode();
          const canvas = document.createElement("canvas");
          canvas.id = "saved";
          canvas.width = image.width;
          canvas.height = image.height;
          canvas.style.width = `${width}px`;
          canvas.getContext("2d")?.drawImage(image, 0, 0);
          document.body.append(canvas);
        },
        [picture.toString("base64"), box.width + 32] as const,
      );
      const saved = rig.page.locator("#saved");
      const { height } = (await saved.boundingBox()) ?? { height: 0 };
      // Below the panel are its space, two notes and the edge; above it stand title and legend, in the same ink.
      const below = 8 + 2 * 22 + 16;
      const columns = await saved.evaluate(skylineOf, {
        left: LEFT + 16,
        right: RIGHT + 16,
        above: height - below - box.height,
        below,
      });
      const peak = peakOf(columns);
      expect(Math.abs(peak.x - 16 - peakOf(await skyline()).x)).toBeLessThan(1);
      expect(peak.byPx).toBeGreaterThan(60);
    });

    it("draws the holidays, the night off and the days without a probe as gaps", async () => {
      await open(whole(), "coolant-in");
      const inked = async (stretch: Shown) => (await columnsIn(stretch)).filter(({ top }) => top !== null);
      const { holidays, night, unplugged } = rig.past;
      expect((await columnsIn(holidays)).length).toBeGreaterThan(20);
      expect(await inked(holidays)).toEqual([]);
      expect(await inked(unplugged)).toEqual([]);
      const before = { from: holidays.from - 20 * DAY, to: holidays.from - DAY };
      expect((await inked(before)).length).toBe((await columnsIn(before)).length);
      await open({ from: night.from - 3 * DAY, to: night.to + 3 * DAY }, "coolant-in");
      expect((await columnsIn(night)).length).toBeGreaterThan(50);
      expect(await inked(night)).toEqual([]);
    });

    it("tells every run, alarm and cleaning of the year, and lets each be reached and opened", async () => {
      const asked = rig.page.waitForResponse("**/api/marks**");
      await open(whole(), "coolant-in");
      const marks = (await (await asked).json()) as Marks;
      const counted = (of: "run" | "alarm" | "maintenance") =>
        marks.crowds.filter((crowd) => crowd.of === of).reduce((sum, { count }) => sum + count, 0);
      expect(counted("run") + marks.runs.length).toBe(rig.past.runs);
      const titles = await rig.page
        .locator(".time-mark")
        .evaluateAll((all) => all.map((mark) => mark.getAttribute("title") ?? ""));
      const told = (words: RegExp) =>
        titles.reduce((sum, title) => sum + Number(words.exec(title)?.[1] ?? 0), 0);
      expect(told(/(\d+) runs?/)).toBe(rig.past.runs);
      expect(told(/(\d+) alarms?/) + titles.filter((title) => title.startsWith("Coolant")).length).toBe(
        rig.past.alarms,
      );

      // By keys alone from the year to a run: one stop for the marks, along them, and nearer until there is one by itself.
      await at("to-now").focus();
      await rig.page.keyboard.press("Tab");
      await rig.page.keyboard.press("Home");
      for (let nearer = 0; (await rig.page.locator("[data-testid^=mark-run-]").count()) === 0; nearer += 1) {
        expect(nearer).toBeLessThan(10);
        await rig.page.locator(".time-mark[tabindex='0']").focus();
        await rig.page.keyboard.press("Home");
        await rig.page.keyboard.press("Enter");
        await at("mark-list").waitFor();
        await changed(() => rig.page.keyboard.press("Enter"));
        await rig.page.waitForFunction(
          () => document.activeElement?.getAttribute("data-testid") === "charts",
        );
      }
      await rig.page.locator("[data-testid^=mark-run-]").first().focus();
      await rig.page.keyboard.press("Enter");
      await rig.page.getByRole("heading", { name: /^Run \d+/ }).waitFor();
      expect(new URL(rig.page.url()).pathname).toMatch(/^\/runs\/6f1f0a7e-/);
    });

    it("is still seen in ten years", async () => {
      const { to } = rig.past;
      const asked = rig.page.waitForResponse("**/api/series**channel=coolant-in**");
      await open({ from: to - 10 * 365.25 * DAY, to }, "coolant-in");
      const series = (await (await asked).json()) as Series;
      expect(series.buckets.filter(({ max }) => max !== null && max > 25)).toHaveLength(1);
      const { offPx, above } = await spikeInPicture();
      expect(offPx).toBeLessThan(2.5);
      expect(above).toBeGreaterThan(0.2);
      await settled();
    });
  });
}
