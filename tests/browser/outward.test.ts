import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, expect, it } from "vitest";
import { SysFolder } from "../service/bench-rig.js";
import {
  freePort,
  type MailServer,
  type Receiver,
  startMailServer,
  startReceiver,
} from "../service/outward-servers.js";
import { type StationProcess, startStation, temporaryFolder } from "../service/station-process.js";
import { openBrowser } from "./chromium.js";

const { folder, remove } = temporaryFolder();
const sys = new SysFolder(folder);
let station: StationProcess;
let mail: MailServer;
let hook: Receiver;
let browser: Browser;
let page: Page;
let status = 204;

beforeAll(async () => {
  mail = await startMailServer();
  hook = await startReceiver(() => status);
  const config = {
    station: { name: "Back shed" },
    coolant_range: { low: 15, high: 22 },
    alarms: { "coolant-high": { on_delay_s: 0 } },
    sources: [{ id: "probe", driver: "kernel-1-wire", device: sys.probe, every_s: 1 }],
    channels: [{ id: "water", kind: "coolant-inlet", source: "probe", resolution: 0.0625 }],
    outward: {
      quiet_hours: { from: "22:00", to: "07:00" },
      mail: {
        host: "127.0.0.1",
        port: mail.port,
        security: "none",
        from: "s@shop.example",
        to: ["owner@shop.example"],
      },
      webhook: { url: `http://127.0.0.1:${hook.port}/k3y`, allow_http: true },
      heartbeat: { url: `http://127.0.0.1:${await freePort()}/` },
    },
  };
  station = await startStation(folder, config, { more: ["--sys-root", sys.root] });
  browser = await openBrowser();
  page = await browser.newPage({ viewport: { width: 800, height: 480 } });
});
afterAll(async () => {
  await browser?.close();
  await station?.stop();
  await mail?.stop();
  await hook?.stop();
  remove();
});

const card = (way: string) => page.getByTestId(`way-${way}`);

it("says of each way how it stands, and sends a test with its result in words", async () => {
  await page.goto(`${station.url}/alarms`);
  await card("mail").getByText("nothing in the last 30 days").waitFor();
  await card("mail")
    .getByText("o…@shop.example through 127.0.0.1 of alarms of priority urgent or high")
    .waitFor();
  await card("mqtt").getByText("Not set up").waitFor();
  expect(await card("mqtt").getByRole("button").count()).toBe(0);
  await card("mail").getByRole("button", { name: "Send a test by mail" }).click();
  await card("mail").getByText("The mail server has taken it").waitFor();
  expect(mail.received[0]?.text).toContain("This is a test: nothing has happened");
  status = 503;
  await card("webhook").getByRole("button", { name: "Send a test by webhook" }).click();
  await card("webhook")
    .getByText(/It was not sent\. .*status 503/)
    .waitFor();
});

it("shows what waits and why, without the address's key, and that it is over once it is sent", async () => {
  sys.coolant(25);
  await card("webhook")
    .getByText(/\d messages?, for .*; the next try in/)
    .waitFor();
  await card("webhook")
    .getByText(/At the last try: .*status 503/)
    .waitFor();
  expect(await page.content()).not.toContain("k3y");
  for (const [width, height] of [
    [800, 480],
    [390, 844],
    [1280, 800],
  ] as const) {
    await page.setViewportSize({ width, height });
    await card("mail").scrollIntoViewIfNeeded();
    const buttons = await card("mail").getByRole("button").all();
    for (const button of buttons) expect((await button.boundingBox())?.height).toBeGreaterThanOrEqual(44);
    expect(await page.evaluate(() => document.documentElement.scrollWidth - innerWidth)).toBeLessThanOrEqual(
      0,
    );
  }
  status = 204;
  await card("webhook").getByText("nothing", { exact: true }).waitFor({ timeout: 80_000 });
  expect(
    await card("webhook")
      .getByText(/At the last try/)
      .count(),
  ).toBe(0);
}, 180_000);
