import { describe, expect, it } from "vitest";
import { fillJournal } from "./filled-journal.js";
import { DAY, historyRig, type Shown } from "./history-rig.js";

describe("the span of the page History", () => {
  const rig = historyRig(fillJournal);
  const { at, shown, changed, settled, open, whole, canvasBox, xOf, inked } = rig;

  it("zooms in to what is dragged across, with the same moments at its ends", async () => {
    await open(whole());
    const box = await canvasBox();
    const [one, other] = [rig.past.from + DAY, rig.past.from + 2 * DAY];
    const [x1, x2] = [await xOf(one), await xOf(other)];
    const next = await changed(async () => {
      await rig.page.mouse.move(x2, box.y + 60);
      await rig.page.mouse.down();
      await rig.page.mouse.move(x1 + 40, box.y + 70, { steps: 4 });
      await rig.page.mouse.move(x1, box.y + 70);
      await rig.page.mouse.up();
    });
    const pixel = (3 * DAY) / 1200;
    expect(Math.abs(next.from - one)).toBeLessThan(2 * pixel);
    expect(Math.abs(next.to - other)).toBeLessThan(2 * pixel);
  });

  it("zooms with the wheel about the pointer, and moves with it sideways", async () => {
    await open(whole());
    const box = await canvasBox();
    const moment = rig.past.spike.wall;
    await rig.page.mouse.move(await xOf(moment), box.y + 60);
    const before = await shown();
    const nearer = await changed(() => rig.page.mouse.wheel(0, -240));
    expect((nearer.to - nearer.from) / (before.to - before.from)).toBeCloseTo(0.5, 2);
    const share = (span: Shown) => (moment - span.from) / (span.to - span.from);
    expect(share(nearer)).toBeCloseTo(share(before), 2);
    const later = await changed(() => rig.page.mouse.wheel(200, 0));
    expect(later.to - later.from).toBe(nearer.to - nearer.from);
    expect(later.from).toBeGreaterThan(nearer.from);
  });

  it("pinches with two fingers", async () => {
    await open(whole());
    const touch = await rig.page.context().newCDPSession(rig.page);
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
    await open(whole());
    await at("charts").focus();
    const before = await shown();
    const later = await changed(() => rig.page.keyboard.press("ArrowRight"));
    expect(later.from - before.from).toBeCloseTo((before.to - before.from) / 5, -1);
    const back = await changed(() => rig.page.keyboard.press("ArrowLeft"));
    expect(back).toEqual(before);
    const nearer = await changed(() => rig.page.keyboard.press("+"));
    expect((nearer.to - nearer.from) / (before.to - before.from)).toBeCloseTo(1 / 1.5, 3);
    await changed(() => rig.page.keyboard.press("-"));
    const all = await changed(() => rig.page.keyboard.press("Home"));
    expect(all.from).toBeLessThan(rig.past.from);
    expect(all.to).toBeGreaterThan(Date.now() - 60_000);
    const latest = await changed(() => rig.page.keyboard.press("End"));
    expect(Math.abs(latest.to - Date.now())).toBeLessThan(60_000);
  });

  it("remembers span and channels in the address, and shows the same again from it", async () => {
    await open({ from: rig.past.from, to: rig.past.to });
    await at("channel-room-rh").click();
    await at("panel--RH").waitFor({ state: "detached" });
    await at("channel-lid").click();
    await at("panel-state-lid").waitFor();
    const week = await changed(() => at("preset-week").click());
    expect(week.to - week.from).toBe(7 * DAY);
    await rig.page.waitForURL((url) => url.searchParams.get("channels") === "coolant-in,lid");
    const address = rig.page.url();
    await rig.page.goto("about:blank");
    await rig.page.goto(address);
    await at("panel-state-lid").waitFor();
    const { from, to } = await shown();
    expect(new URL(address).searchParams.get("from")).toBe(new Date(from).toISOString());
    expect(new URL(address).searchParams.get("to")).toBe(new Date(to).toISOString());
  });

  it("brings nobody back who leaves at the moment at which the address is written", async () => {
    await open(whole());
    const page = await rig.page.context().newPage();
    // The page is left in the turn of its timer: drawn anew, and not painted yet.
    await page.addInitScript(() => {
      const [begin, stop] = [window.setTimeout.bind(window), window.clearTimeout.bind(window)];
      const stopped = new Set<unknown>();
      let left = false;
      const leavesFirst = (then: () => void, ms?: number) => {
        const timer = begin(async () => {
          if (ms === 300 && !left) {
            left = true;
            document.querySelector<HTMLElement>('.nav a[href="/alarms"]')?.click();
            await null;
          }
          if (!stopped.has(timer)) then();
        }, ms);
        return timer;
      };
      window.setTimeout = leavesFirst as typeof window.setTimeout;
      window.clearTimeout = (timer) => {
        stopped.add(timer);
        stop(timer);
      };
    });
    await page.goto(new URL("/history", rig.page.url()).href);
    await page.waitForFunction(() => document.title.startsWith("Alarms"));
    expect(new URL(page.url()).pathname).toBe("/alarms");
    await page.close();
  });

  it("gives up a question that is overtaken, and keeps the old picture until the new one is there", async () => {
    await rig.page.addInitScript(() => {
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
    await open({ from: rig.past.from, to: rig.past.to }, "coolant-in");
    const given: string[] = [];
    rig.page.on("requestfailed", (request) => {
      if (request.url().includes("/api/series")) given.push(request.failure()?.errorText ?? "");
    });
    let letGo = () => {};
    const held = new Promise<void>((go) => {
      letGo = go;
    });
    await rig.page.route("**/api/series**", async (route) => {
      await held;
      // The browser may have given it up meanwhile.
      await route.continue().catch(() => {});
    });
    const first = rig.page.waitForRequest("**/api/series**");
    await at("zoom-out").click();
    await first;
    expect(await inked(rig.past.from + DAY / 2, 3, 0.05, 0.95)).toBeGreaterThan(0);
    const second = rig.page.waitForRequest("**/api/series**");
    await at("zoom-out").click();
    await second;
    letGo();
    await settled();
    await rig.page.unroute("**/api/series**");
    expect(given).toEqual(["net::ERR_ABORTED"]);
    expect(await rig.page.evaluate(() => (window as unknown as { seen: { most: number } }).seen.most)).toBe(
      1,
    );
  });

  it("says that an answer is on its way where it takes long, and shows nothing of another span once it is refused", async () => {
    await open({ from: rig.past.from, to: rig.past.from + DAY }, "coolant-in,room-rh");
    const busy = rig.page.getByText("Fetching this span");
    let answer = () => {};
    const held = new Promise<void>((go) => {
      answer = go;
    });
    await rig.page.route("**/api/series**channel=coolant-in**", async (route) => {
      await held;
      const title = "The journal is busy";
      await route.fulfill({ status: 503, json: { type: "about:blank", title, status: 503, detail: title } });
    });
    await at("later").click();
    await rig.page.waitForFunction(
      () => getComputedStyle(document.querySelector(".history-busy") ?? document.body).opacity === "1",
    );
    await busy.waitFor();
    expect(await inked(rig.past.from + DAY, 20, 0.05, 0.95)).toBeGreaterThan(0);
    answer();
    await rig.page.getByRole("alert").getByText("The journal is busy").waitFor();
    await settled();
    await at("panel-Cel").getByText("no reading in this span").waitFor();
    await at("panel--RH").getByText("% RH").waitFor();
    await rig.page.unroute("**/api/series**channel=coolant-in**");
    await rig.page.getByRole("button", { name: "Try again" }).click();
    await at("panel-Cel").getByText("°C").waitFor();
    rig.forgive(/status of 503/);
  });

  it("goes no nearer than a minute and no further than ten years", async () => {
    await open({ from: rig.past.spike.wall - 40_000, to: rig.past.spike.wall + 40_000 });
    const near = await changed(() => at("zoom-in").click());
    expect(near.to - near.from).toBe(60_000);
    await open({ from: rig.past.to - 8 * 365.25 * DAY, to: rig.past.to });
    const far = await changed(() => at("zoom-out").click());
    expect(far.to - far.from).toBe(10 * 365.25 * DAY);
  });
});
