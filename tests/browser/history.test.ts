import { readFile } from "node:fs/promises";
import type { Browser, BrowserContext, Page } from "playwright-core";
import { afterAll, beforeAll, beforeEach, describe, expect, it } from "vitest";
import type { Series } from "../../station/model/now.js";
import { type StationProcess, startStation, temporaryFolder } from "../service/station-process.js";
import { openBrowser } from "./chromium.js";
import { type Filled, fillJournal } from "./filled-journal.js";

const HOUR = 3_600_000;
const DAY = 24 * HOUR;
/** The edges of the drawing within its canvas, as the page lays every panel out. */
const [LEFT, RIGHT] = [52, 10];

interface Shown {
  readonly from: number;
  readonly to: number;
}

describe("the page History over three days of readings at 1 s", () => {
  const { folder, remove } = temporaryFolder();
  const complaints: string[] = [];
  let past: Filled;
  let station: StationProcess;
  let browser: Browser;
  let context: BrowserContext;
  let page: Page;
  const at = (id: string) => page.getByTestId(id);

  beforeAll(async () => {
    past = fillJournal(folder, Math.floor(Date.now() / HOUR) * HOUR - 2 * HOUR);
    station = await startStation(folder, null);
    browser = await openBrowser();
    context = await browser.newContext({
      viewport: { width: 1440, height: 900 },
      timezoneId: "Europe/London",
      colorScheme: "light",
    });
    page = await context.newPage();
    page.on("pageerror", (error) => complaints.push(error.message));
    page.on("console", (message) => {
      if (message.type() === "error") complaints.push(message.text());
    });
  });
  afterAll(async () => {
    await browser?.close();
    await station?.stop();
    remove();
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

  describe("with the whole span shown", () => {
    beforeEach(() => open({ from: past.from - HOUR, to: past.to + HOUR }));

    it("keeps a spike of one second in the series that it asks for, and in the picture", async () => {
      const asked = page.waitForResponse((response) => response.url().includes("channel=coolant-in"));
      await page.reload();
      const series = (await (await asked).json()) as Series;
      expect(series.buckets.length).toBeGreaterThan(1000);
      expect(series.buckets.length).toBeLessThan(1440);
      expect(Math.max(...series.buckets.map(({ max }) => max ?? 0))).toBe(past.spike.value);
      await settled();
      // Between some 23 and 32 °C there is nothing but the spike, and the alarm that it raised two seconds later.
      await page.route("**/api/marks**", (route) =>
        route.fulfill({ json: { runs: [], alarms: [], maintenance: [], more: {} } }),
      );
      await page.reload();
      await settled();
      expect(await inked(past.spike.wall, 2, 0.2, 0.6)).toBeGreaterThan(0.95);
      expect(await inked(past.spike.wall + HOUR, 2, 0.2, 0.6)).toBeLessThan(0.05);
      await page.unroute("**/api/marks**");
    });

    it("draws a gap as a gap", async () => {
      const middle = (past.gap.from + past.gap.to) / 2;
      // The edges of the coolant's band are drawn across the gap, and are a row of pixels each.
      expect(await inked(middle, 3, 0.1, 0.85)).toBeLessThan(0.02);
      expect(await inked(past.gap.from - HOUR, 3, 0.1, 0.85)).toBeGreaterThan(0.02);
    });

    it("marks the run, the alarm and the maintenance, and opens what they mark", async () => {
      const run = at("mark-run-1");
      expect(Math.abs(((await run.boundingBox())?.x ?? 0) + 26 - (await xOf(past.run.from)))).toBeLessThan(2);
      await run.click();
      await page.getByRole("heading", { name: /Run 1/ }).waitFor();
      expect(new URL(page.url()).pathname).toBe(`/runs/${past.run.id}`);
      await page.goBack();
      await settled();

      await at("mark-maintenance-1").click();
      await at("mark-list").getByText("Optics cleaned").waitFor();
      await page.keyboard.press("Escape");
      await at("mark-list").waitFor({ state: "detached" });

      await at("mark-alarm-1").focus();
      await page.keyboard.press("Enter");
      await at("log-1").waitFor();
      expect(await at("log-1").textContent()).toContain("34.0");
      expect(await page.evaluate(() => document.activeElement?.getAttribute("data-testid"))).toBe("log-1");
      await page.getByRole("link", { name: "Show the latest entries" }).click();
      await page.waitForURL(/\/alarms$/);
    });

    it("zooms in to what is dragged across, with the same moments at its ends", async () => {
      const box = await canvasBox();
      const [one, other] = [past.from + DAY, past.from + 2 * DAY];
      const [x1, x2] = [await xOf(one), await xOf(other)];
      const next = await changed(async () => {
        await page.mouse.move(x2, box.y + 60);
        await page.mouse.down();
        await page.mouse.move(x1 + 40, box.y + 70, { steps: 4 });
        await page.mouse.move(x1, box.y + 70);
        await page.mouse.up();
      });
      const pixel = (3 * DAY) / 1200;
      expect(Math.abs(next.from - one)).toBeLessThan(2 * pixel);
      expect(Math.abs(next.to - other)).toBeLessThan(2 * pixel);
    });

    it("zooms with the wheel about the pointer, and moves with it sideways", async () => {
      const box = await canvasBox();
      const moment = past.spike.wall;
      await page.mouse.move(await xOf(moment), box.y + 60);
      const before = await shown();
      const nearer = await changed(() => page.mouse.wheel(0, -240));
      expect((nearer.to - nearer.from) / (before.to - before.from)).toBeCloseTo(0.5, 2);
      const share = (span: Shown) => (moment - span.from) / (span.to - span.from);
      expect(share(nearer)).toBeCloseTo(share(before), 2);
      const later = await changed(() => page.mouse.wheel(200, 0));
      expect(later.to - later.from).toBe(nearer.to - nearer.from);
      expect(later.from).toBeGreaterThan(nearer.from);
    });

    it("pinches with two fingers", async () => {
      const touch = await page.context().newCDPSession(page);
      const box = await canvasBox();
      const fingers = (apart: number) => [
        { x: box.x + box.width / 2 - apart, y: box.y + 60, id: 1 },
        { x: box.x + box.width / 2 + apart, y: box.y + 60, id: 2 },
      ];
      const before = await shown();
      const send = (type: "touchStart" | "touchMove" | "touchEnd", touchPoints: ReturnType<typeof fingers>) =>
        touch.send("Input.dispatchTouchEvent", { type, touchPoints });
      const after = await changed(async () => {
        await send("touchStart", fingers(80));
        await send("touchMove", fingers(120));
        await send("touchMove", fingers(160));
        await send("touchEnd", []);
      });
      expect((after.to - after.from) / (before.to - before.from)).toBeCloseTo(0.5, 1);
      await touch.detach();
    });

    it("moves and zooms with the keys", async () => {
      await at("charts").focus();
      const before = await shown();
      const later = await changed(() => page.keyboard.press("ArrowRight"));
      expect(later.from - before.from).toBeCloseTo((before.to - before.from) / 5, -1);
      const back = await changed(() => page.keyboard.press("ArrowLeft"));
      expect(back).toEqual(before);
      const nearer = await changed(() => page.keyboard.press("+"));
      expect((nearer.to - nearer.from) / (before.to - before.from)).toBeCloseTo(1 / 1.5, 3);
      await changed(() => page.keyboard.press("-"));
      const all = await changed(() => page.keyboard.press("Home"));
      expect(all.from).toBeLessThan(past.from);
      expect(all.to).toBeGreaterThan(Date.now() - 60_000);
      const latest = await changed(() => page.keyboard.press("End"));
      expect(Math.abs(latest.to - Date.now())).toBeLessThan(60_000);
    });

    it("saves the buckets that are shown as a table", async () => {
      const asked = page.waitForResponse((response) => response.url().includes("channel=coolant-in"));
      await page.reload();
      const series = (await (await asked).json()) as Series;
      await settled();
      const download = page.waitForEvent("download");
      await at("save-csv").click();
      const file = await download;
      expect(file.suggestedFilename()).toMatch(/^history-\d{8}T\d{6}Z-\d{8}T\d{6}Z\.csv$/);
      const [header, ...rows] = (await readFile(await file.path(), "utf8")).split("\r\n");
      const columns = ["Coolant into the tube (°C)", "Room humidity (% RH)"].flatMap((name) =>
        ["min", "mean", "max"].map((of) => `${name} ${of}`),
      );
      // A station that counts bad readings adds a column for them.
      expect(header?.split(",").filter((name) => !name.endsWith("bad readings"))).toEqual([
        "time",
        ...columns,
      ]);
      expect(rows.pop()).toBe("");
      expect(rows.length).toBe(series.buckets.length);
      const i = series.buckets.findIndex(({ max }) => max === past.spike.value);
      const fields = rows[i]?.split(",") ?? [];
      expect(fields[0]).toBe(new Date(series.buckets[i]?.t ?? 0).toISOString());
      expect(Number(fields[1])).toBe(series.buckets[i]?.min);
      expect(Number(fields[3])).toBe(past.spike.value);
    });

    it("saves a picture of the panels", async () => {
      const download = page.waitForEvent("download");
      await at("save-picture").click();
      const picture = await readFile(await (await download).path());
      // The signature and the header of a PNG (ISO/IEC 15948, 5.2 and 11.2.2): width and height at 16 and 20.
      expect([...picture.subarray(0, 8)]).toEqual([0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a]);
      expect(picture.readUInt32BE(16)).toBeGreaterThan(1000);
      expect(picture.readUInt32BE(20)).toBeGreaterThan(400);
    });
  });

  it("remembers span and channels in the address, and shows the same again from it", async () => {
    await open({ from: past.from, to: past.to });
    await at("channel-room-rh").click();
    await at("panel--RH").waitFor({ state: "detached" });
    await at("channel-lid").click();
    await at("panel-state-lid").waitFor();
    const week = await changed(() => at("preset-week").click());
    expect(week.to - week.from).toBe(7 * DAY);
    await page.waitForURL((url) => url.searchParams.get("channels") === "coolant-in,lid");
    const address = page.url();
    await page.goto("about:blank");
    await page.goto(address);
    await at("panel-state-lid").waitFor();
    const { from, to } = await shown();
    expect(new URL(address).searchParams.get("from")).toBe(new Date(from).toISOString());
    expect(new URL(address).searchParams.get("to")).toBe(new Date(to).toISOString());
  });

  it("gives up a question that is overtaken, and keeps the old picture until the new one is there", async () => {
    await page.addInitScript(() => {
      const seen = { live: [] as { signal: AbortSignal | null }[], most: 0 };
      Object.assign(window, { seen });
      const asked = window.fetch;
      window.fetch = async (input, init) => {
        if (!String(input).includes("/api/series")) return asked(input, init);
        const mine = { signal: init?.signal ?? null };
        seen.live.push(mine);
        seen.most = Math.max(seen.most, seen.live.filter(({ signal }) => signal?.aborted !== true).length);
        try {
          return await asked(input, init);
        } finally {
          seen.live.splice(seen.live.indexOf(mine), 1);
        }
      };
    });
    await open({ from: past.from, to: past.to }, "coolant-in");
    const given: string[] = [];
    page.on("requestfailed", (request) => {
      if (request.url().includes("/api/series")) given.push(request.failure()?.errorText ?? "");
    });
    let letGo = () => {};
    const held = new Promise<void>((go) => {
      letGo = go;
    });
    await page.route("**/api/series**", async (route) => {
      await held;
      // The browser may have given it up meanwhile.
      await route.continue().catch(() => {});
    });
    const first = page.waitForRequest("**/api/series**");
    await at("zoom-out").click();
    await first;
    expect(await inked(past.from + DAY / 2, 3, 0.05, 0.95)).toBeGreaterThan(0);
    const second = page.waitForRequest("**/api/series**");
    await at("zoom-out").click();
    await second;
    letGo();
    await settled();
    await page.unroute("**/api/series**");
    expect(given).toEqual(["net::ERR_ABORTED"]);
    expect(await page.evaluate(() => (window as unknown as { seen: { most: number } }).seen.most)).toBe(1);
  });

  it("keeps a moment at the same place in every panel, whatever the last label below", async () => {
    // Of two panels only the lower has labels; of one it is the upper. The last of them stands at the very edge.
    const midnight = new Date(past.to).setUTCHours(0, 0, 0, 0);
    for (const channels of ["coolant-in,room-rh", "coolant-in"]) {
      await open({ from: past.spike.wall - HOUR, to: midnight }, channels);
      expect(await inked(past.spike.wall, 2, 0.25, 0.5), channels).toBeGreaterThan(0.95);
      expect(await inked(past.spike.wall - HOUR / 4, 4, 0.25, 0.5), channels).toBeLessThan(0.05);
    }
  });

  it("hatches where there were bad readings, where the station counts them", async () => {
    const count = async (bad: number) => {
      await page.route("**/api/series**", async (route) => {
        const response = await route.fetch();
        const series = (await response.json()) as Series;
        const buckets = series.buckets.map((bucket) => ({
          ...bucket,
          bad: bucket.t >= past.bad.from && bucket.t < past.bad.to ? bad : 0,
        }));
        await route.fulfill({ json: { ...series, buckets } });
      });
      await open({ from: past.bad.from - HOUR, to: past.bad.to + HOUR }, "coolant-in");
      // The strip stands at the foot of the drawing, over the row of times.
      const { height } = await canvasBox();
      const ink = await inked((past.bad.from + past.bad.to) / 2, 20, 1 - 34 / height, 1 - 26 / height);
      await page.unroute("**/api/series**");
      return ink;
    };
    expect(await count(0)).toBe(0);
    expect(await count(600)).toBeGreaterThan(0.9);
  });

  it("says in words that there is nothing, and where there is something", async () => {
    await open({ from: past.from - 40 * DAY, to: past.from - 39 * DAY });
    await at("history-empty")
      .getByText(/No reading of these channels/)
      .waitFor();
    await changed(() => at("preset-all").click());
    await at("history-empty").waitFor({ state: "detached" });
  });

  it("goes no nearer than a minute and no further than ten years", async () => {
    await open({ from: past.spike.wall - 40_000, to: past.spike.wall + 40_000 });
    const near = await changed(() => at("zoom-in").click());
    expect(near.to - near.from).toBe(60_000);
    await open({ from: past.to - 8 * 365.25 * DAY, to: past.to });
    const far = await changed(() => at("zoom-out").click());
    expect(far.to - far.from).toBe(10 * 365.25 * DAY);
  });

  it.each([
    [800, 480],
    [390, 844],
  ])("fits a screen of %d by %d, with targets for wet fingers", async (width, height) => {
    await page.setViewportSize({ width, height });
    await open({ from: past.from, to: past.to });
    expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(width);
    expect((await canvasBox()).y).toBeLessThan(height - 100);
    for (const target of await page.locator("button:visible, a.time-mark, nav a, label.choice").all()) {
      const box = await target.boundingBox();
      const words = (await target.textContent()) ?? "";
      expect(box?.height, words).toBeGreaterThanOrEqual(48);
      expect(box?.width, words).toBeGreaterThanOrEqual(48);
    }
  });

  it("made the browser complain of nothing, and says that the readings are simulated", async () => {
    await at("simulated").waitFor();
    expect(complaints).toEqual([]);
  });
});
