import { readFile } from "node:fs/promises";
import { describe, expect, it } from "vitest";
import type { Marks } from "../../station/model/marks.js";
import type { Series } from "../../station/model/now.js";
import { fillJournal } from "./filled-journal.js";
import { DAY, HOUR, historyRig } from "./history-rig.js";

describe("what the page History shows of three days of readings at 1 s", () => {
  const rig = historyRig(fillJournal);
  const { at, changed, settled, open, whole, canvasBox, xOf, inked } = rig;

  it("keeps a spike of one second in the series that it asks for, and in the picture", async () => {
    await open(whole());
    const asked = rig.page.waitForResponse((response) => response.url().includes("channel=coolant-in"));
    await rig.page.reload();
    const series = (await (await asked).json()) as Series;
    // Whole minutes to a bucket: somewhat fewer than there are pixels.
    expect(series.buckets.length).toBeGreaterThan(800);
    expect(series.buckets.length).toBeLessThan(1440);
    expect(Math.max(...series.buckets.map(({ max }) => max ?? 0))).toBe(rig.past.spike.value);
    await settled();
    // Between some 23 and 32 °C there is nothing but the spike, and the alarm that it raised two seconds later.
    await rig.page.route("**/api/marks**", async (route) => {
      const response = await route.fetch();
      const marks = (await response.json()) as Marks;
      await route.fulfill({
        response,
        json: { ...marks, runs: [], alarms: [], maintenance: [], crowds: [] },
      });
    });
    await rig.page.reload();
    await settled();
    expect(await inked(rig.past.spike.wall, 2, 0.2, 0.6)).toBeGreaterThan(0.95);
    expect(await inked(rig.past.spike.wall + HOUR, 2, 0.2, 0.6)).toBeLessThan(0.05);
    await rig.page.unroute("**/api/marks**");
  });

  it("reads off the values that are pointed at, by mouse, finger and keys", async () => {
    const { wall, value } = rig.past.spike;
    await open({ from: wall - 30_000, to: wall + 30_000 });
    const box = await canvasBox();
    const x = (await xOf(wall + 500)) - box.x;
    const cel = at("panel-Cel").locator("figcaption");
    const celSays = (words: RegExp) => cel.getByText(words).waitFor();
    await rig.page.mouse.move(box.x + x, box.y + 40);
    await celSays(new RegExp(`${value}\\.0\\s°C$`));
    const time = new Date(wall).toLocaleTimeString("en-GB", { timeZone: "Europe/London" });
    expect(await at("moment").textContent()).toContain(time);
    await at("panel--RH").locator("figcaption").getByText(/% RH$/).waitFor();
    await rig.page.mouse.move(box.x + x, box.y - 200);
    await at("moment").waitFor({ state: "detached" });
    await celSays(/ to /);

    await at("charts").focus();
    await rig.page.keyboard.press("Shift+ArrowRight");
    await at("moment").waitFor();
    await celSays(new RegExp(`${value}\\.0\\s°C$`));
    for (let i = 0; i < 8; i += 1) await rig.page.keyboard.press("Shift+ArrowLeft");
    await celSays(/^(1\d|2\d)\.\d\s°C$/);
    await rig.page.keyboard.press("Escape");
    await at("moment").waitFor({ state: "detached" });

    await rig.page.reload();
    await settled();
    const touch = await rig.page.context().newCDPSession(rig.page);
    const touchPoints = [{ x: box.x + x, y: box.y + 40, id: 1 }];
    await touch.send("Input.dispatchTouchEvent", { type: "touchStart", touchPoints });
    await touch.send("Input.dispatchTouchEvent", { type: "touchEnd", touchPoints: [] });
    await celSays(new RegExp(`${value}\\.0\\s°C$`));
    await touch.send("Input.dispatchTouchEvent", { type: "touchStart", touchPoints });
    await touch.send("Input.dispatchTouchEvent", { type: "touchEnd", touchPoints: [] });
    await at("moment").waitFor({ state: "detached" });
    await touch.detach();
  });

  it("draws a gap as a gap", async () => {
    await open(whole());
    const middle = (rig.past.gap.from + rig.past.gap.to) / 2;
    // The edges of the coolant's band are drawn across the gap, and are a row of pixels each.
    expect(await inked(middle, 3, 0.1, 0.85)).toBeLessThan(0.02);
    expect(await inked(rig.past.gap.from - HOUR, 3, 0.1, 0.85)).toBeGreaterThan(0.02);
  });

  it("marks the run, the alarm and the maintenance, and opens what they mark", async () => {
    await open(whole());
    const run = at("mark-run-1");
    expect(Math.abs(((await run.boundingBox())?.x ?? 0) + 26 - (await xOf(rig.past.run.from)))).toBeLessThan(
      2,
    );
    await run.click();
    await rig.page.getByRole("heading", { name: /Run 1/ }).waitFor();
    expect(new URL(rig.page.url()).pathname).toBe(`/runs/${rig.past.run.id}`);
    await rig.page.goBack();
    await settled();

    await at("mark-maintenance-1").click();
    await at("mark-list").getByText("Optics cleaned").waitFor();
    await rig.page.keyboard.press("Escape");
    await at("mark-list").waitFor({ state: "detached" });

    await at("mark-alarm-1").focus();
    await rig.page.keyboard.press("Enter");
    await at("log-1").waitFor();
    expect(await at("log-1").textContent()).toContain("34.0");
    await rig.page.waitForFunction(() => document.activeElement?.getAttribute("data-testid") === "log-1");
    await rig.page.getByRole("link", { name: "Show the latest entries" }).click();
    await rig.page.waitForURL(/\/alarms$/);
  });

  it("keeps a moment at the same place in every panel, whatever the last label below", async () => {
    // Of two panels only the lower has labels; of one it is the upper. The last of them stands at the very edge.
    const midnight = new Date(rig.past.to).setUTCHours(0, 0, 0, 0);
    for (const channels of ["coolant-in,room-rh", "coolant-in"]) {
      await open({ from: rig.past.spike.wall - HOUR, to: midnight }, channels);
      expect(await inked(rig.past.spike.wall, 2, 0.25, 0.5), channels).toBeGreaterThan(0.95);
      expect(await inked(rig.past.spike.wall - HOUR / 4, 4, 0.25, 0.5), channels).toBeLessThan(0.05);
    }
  });

  it("hatches where there were bad readings, and nowhere else", async () => {
    await open({ from: rig.past.bad.from - HOUR, to: rig.past.bad.to + HOUR }, "coolant-in");
    // The strip stands at the foot of the drawing, over the row of times.
    const { height } = await canvasBox();
    const strip = (wall: number) => inked(wall, 20, 1 - 34 / height, 1 - 26 / height);
    expect(await strip((rig.past.bad.from + rig.past.bad.to) / 2)).toBeGreaterThan(0.9);
    expect(await strip(rig.past.bad.from - HOUR / 2)).toBe(0);
    expect(await strip(rig.past.bad.to + HOUR / 2)).toBe(0);
  });

  it("hatches them in the chart of a run too, and says how many there were", async () => {
    await rig.page.goto(new URL(`/runs/${rig.past.run.id}`, rig.page.url()).href);
    const canvas = at("chart-coolant-in").locator("canvas");
    await canvas.waitFor();
    expect(await canvas.getAttribute("aria-label")).toContain(`; ${rig.past.run.bad} bad readings`);
    /** Of the columns between two shares of the run, those with something drawn in full ink just over the times. */
    const strip = (from: number, to: number) =>
      canvas.evaluate(
        (element, [left, right]) => {
          const { width, height, clientHeight } = element as HTMLCanvasElement;
          const scale = height / clientHeight;
          const ctx = (element as HTMLCanvasElement).getContext("2d");
          const [first, last] = [left, right].map((share) => Math.round((0.15 + 0.8 * share) * width));
          const columns = (last as number) - (first as number);
          const rows = Math.round(5 * scale);
          const top = Math.round(height - 31 * scale);
          const pixels = ctx?.getImageData(first as number, top, columns, rows).data;
          let drawn = 0;
          for (let i = 3; pixels !== undefined && i < pixels.length; i += 4)
            if ((pixels[i] as number) > 200) drawn++;
          return drawn / (columns * rows);
        },
        [from, to] as const,
      );
    await expect.poll(() => strip(0.5, 0.55)).toBeGreaterThan(0.3);
    expect(await strip(0.7, 0.9)).toBeLessThan(0.1);
  });

  it("saves the buckets that are shown as a table", async () => {
    await open(whole());
    const asked = rig.page.waitForResponse((response) => response.url().includes("channel=coolant-in"));
    await rig.page.reload();
    const series = (await (await asked).json()) as Series;
    await settled();
    const download = rig.page.waitForEvent("download");
    await at("save-csv").click();
    const file = await download;
    expect(file.suggestedFilename()).toMatch(/^history-\d{8}T\d{6}Z-\d{8}T\d{6}Z\.csv$/);
    const [header, ...rows] = (await readFile(await file.path(), "utf8")).split("\r\n");
    const columns = ["Coolant into the tube (°C)", "Room humidity (% RH)"].flatMap((name) =>
      ["min", "mean", "max", "bad readings"].map((of) => `${name} ${of}`),
    );
    expect(header?.split(",")).toEqual(["time", ...columns]);
    expect(rows.pop()).toBe("");
    expect(rows.length).toBe(series.buckets.length);
    const i = series.buckets.findIndex(({ max }) => max === rig.past.spike.value);
    const fields = rows[i]?.split(",") ?? [];
    expect(fields[0]).toBe(new Date(series.buckets[i]?.t ?? 0).toISOString());
    expect(Number(fields[1])).toBe(series.buckets[i]?.min);
    expect(Number(fields[3])).toBe(rig.past.spike.value);
    const bad = rows.map((row) => Number(row.split(",")[4]));
    expect(bad.reduce((sum, count) => sum + count, 0)).toBe(
      (rig.past.bad.to - rig.past.bad.from) / 1000 + rig.past.run.bad,
    );
  });

  it("saves a picture of the panels", async () => {
    await open(whole());
    const download = rig.page.waitForEvent("download");
    await at("save-picture").click();
    const picture = await readFile(await (await download).path());
    // The signature and the header of a PNG (ISO/IEC 15948, 5.2 and 11.2.2): width and height at 16 and 20.
    expect([...picture.subarray(0, 8)]).toEqual([0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a]);
    expect(picture.readUInt32BE(16)).toBeGreaterThan(1000);
    expect(picture.readUInt32BE(20)).toBeGreaterThan(400);
  });

  it("says in words that there is nothing, and where there is something", async () => {
    await open({ from: rig.past.from - 40 * DAY, to: rig.past.from - 39 * DAY });
    await at("history-empty")
      .getByText(/No reading of these channels/)
      .waitFor();
    await changed(() => at("preset-all").click());
    await at("history-empty").waitFor({ state: "detached" });
  });

  it.each([
    [800, 480],
    [390, 844],
  ])("fits a screen of %d by %d, with targets for wet fingers", async (width, height) => {
    await rig.page.setViewportSize({ width, height });
    await open({ from: rig.past.from, to: rig.past.to });
    expect(await rig.page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(width);
    expect((await canvasBox()).y).toBeLessThan(height - 100);
    for (const target of await rig.page.locator("button:visible, a.time-mark, nav a, label.choice").all()) {
      const box = await target.boundingBox();
      const words = (await target.textContent()) ?? "";
      expect(box?.height, words).toBeGreaterThanOrEqual(48);
      expect(box?.width, words).toBeGreaterThanOrEqual(48);
    }
  });

  it("says that the readings are simulated", async () => {
    await at("simulated").waitFor();
  });
});
