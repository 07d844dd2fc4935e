import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, expect, it } from "vitest";
import type { NowSnapshot } from "../../station/model/now.js";
import type { PlacedRun, Run } from "../../station/model/run.js";
import { type ClockRig, clockRig, wrongBy } from "../service/clock-rig.js";
import {
  eventually,
  type StationProcess,
  startStation,
  temporaryFolder,
} from "../service/station-process.js";
import { openBrowser } from "./chromium.js";

const { folder, remove } = temporaryFolder();
let browser: Browser;
let page: Page;
let rig: ClockRig;
let station: StationProcess;

beforeAll(async () => {
  rig = clockRig(folder);
  browser = await openBrowser();
  page = await browser.newPage({ viewport: { width: 800, height: 480 } });
});
afterAll(async () => {
  await browser?.close();
  await station?.kill();
  remove();
});

it("a clock that is not set is told of quietly, and what was cut before it was says so when it has its time", async () => {
  rig.set(wrongBy(), "no");
  station = await startStation(folder, null, { env: rig.env });
  await page.goto(station.url);
  await page.getByText("The clock has not been set yet.").waitFor();
  const { id } = (await station.send("POST", "/api/runs", {})).body as Run;
  await page.getByText(/Run 1, open for \d+\ss/).waitFor();
  await station.send("POST", `/api/runs/${id}/end`, {});
  await page.getByRole("link", { name: "Runs" }).first().click();
  await page.getByTestId("run-row-1").getByText("clock not set").waitFor();
  await page.getByTestId("run-row-1").click();
  await page.getByTestId("stamp-clock").getByText("Clock not set at cut time.").waitFor();
  expect(await page.locator("dl.facts time").first().textContent()).toContain("1970");

  rig.set(0, "yes");
  await eventually(async () => (await station.get<PlacedRun>(`/api/runs/${id}`)).placed, "the true times");
  await eventually(
    async () => (await station.get<NowSnapshot>("/api/now")).clock === "synchronised",
    "the state of the clock",
  );
  await page.getByRole("link", { name: "Now" }).first().click();
  await page.getByTestId("coolant-value").waitFor();
  await page.getByText("The clock has not been set yet.").waitFor({ state: "detached" });
  await page.goto(`${station.url}/runs`);
  await page.getByTestId("run-row-1").getByText("put right afterwards").waitFor();
  await page.getByTestId("run-row-1").click();
  await page
    .getByTestId("stamp-clock")
    .getByText("Clock not set at cut time; put right afterwards.")
    .waitFor();
  const year = String(new Date().getFullYear());
  expect(await page.locator("dl.facts time").first().textContent()).toContain(year);

  await page.getByRole("link", { name: "History" }).first().click();
  const mark = page.getByTestId("mark-clock-1").or(page.getByTestId("mark-several"));
  await mark.first().click();
  await page
    .getByTestId("mark-list")
    .getByText(/Clock set forward by \d+\syears/)
    .waitFor();
  await page.getByTestId("mark-list").getByText("Times before it have been put right.").waitFor();
}, 120_000);
