import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, expect, it } from "vitest";
import { SysFolder } from "../service/bench-rig.js";
import { type StationProcess, startStation, temporaryFolder } from "../service/station-process.js";
import { openBrowser } from "./chromium.js";
import { lookAtThreeSizes } from "./three-sizes.js";

const { folder, remove } = temporaryFolder();
const sys = new SysFolder(folder);
const FILE = join(folder, "station.yaml");
const TEXT = `# The shed's own
station: { name: Back shed }
coolant_range: { low: 15, high: 22 } # from the tube's manual
sources:
  - id: probe # before the tube
    driver: kernel-1-wire
    device: ${sys.probe}
    every_s: 1
channels:
  - id: coolant-in
    name: Coolant into the tube
    kind: coolant-inlet
    source: probe
    resolution: 0.0625
`;
/** A probe is looked at for a minute in each bath. */
const A_BATH = 100_000;
let station: StationProcess;
let browser: Browser;
let page: Page;
const at = (id: string) => page.getByTestId(id);

const look = (name: string) => lookAtThreeSizes(page, name);

beforeAll(async () => {
  writeFileSync(FILE, TEXT);
  sys.coolant(0.3125);
  station = await startStation(folder, null, { more: ["--config", FILE, "--sys-root", sys.root] });
  browser = await openBrowser();
  page = await browser.newPage({ viewport: { width: 800, height: 480 } });
});
afterAll(async () => {
  await browser?.close();
  await station?.stop();
  remove();
});

it(
  "waits until the probe rests in ice water, and takes the point",
  async () => {
    await page.goto(`${station.url}/setup`);
    await page.getByRole("link", { name: "Calibrate a thermometer" }).click();
    await page.getByText("It has no calibration yet.").waitFor();
    await at("probe-low")
      .getByText(/It says 0\.31\s°C\. Leave it in the bath: \d+ s to go\./)
      .waitFor();
    // Somebody who cannot wait is told what to wait for, and nothing is taken.
    await at("take-low").click();
    await at("bath-low").getByText("has not come to rest yet").waitFor();
    await look("waiting");
    await at("probe-low").getByText("It says 0.31 °C, and rests.").waitFor({ timeout: A_BATH });
    await at("take-low").click();
    await at("bath-low").getByText("Taken: it said 0.31 °C where it was 0.00 °C.").waitFor();
  },
  A_BATH + 60_000,
);

it(
  "wants to know how good the other thermometer is, and then says how good the probe is where it matters",
  async () => {
    sys.coolant(30.4375);
    await at("probe-high").getByText("and still moves").waitFor();
    await at("take-high").click();
    await at("bath-high").getByText("Expected: what the thermometer reads now").waitFor();
    await at("bath-high").getByText("Expected: its limits, from its sheet").waitFor();
    await page.getByLabel("The thermometer reads").fill("30.0");
    await page.getByLabel("Good to ±", { exact: false }).last().fill("0.1");
    await at("probe-high").getByText("It says 30.44 °C, and rests.").waitFor({ timeout: A_BATH });
    await at("take-high").click();
    await at("bath-high").getByText("Taken: it said 30.44 °C where it was 30.00 °C.").waitFor();
    const rows = await at("calibration-given").locator("tbody tr").allInnerTexts();
    expect(rows.map((row) => row.replace(/\s+/g, " "))).toEqual([
      "0.0 °C ± 0.13 °C",
      "15.0 °C ± 0.09 °C",
      "22.0 °C ± 0.10 °C",
      "30.0 °C ± 0.13 °C",
    ]);
    await look("given");
  },
  A_BATH + 60_000,
);

it("shows the line that is written, writes it, and keeps all else of the file", async () => {
  await at("calibration-show").click();
  await at("setup-diff").getByText("calibration: { points: [").waitFor();
  await look("diff");
  expect(readFileSync(FILE, "utf8")).toBe(TEXT);
  await at("setup-write").click();
  await at("calibration-written").waitFor();
  await expect
    .poll(() => at("calibration-written").evaluate((told) => told === document.activeElement))
    .toBe(true);
  expect(readFileSync(FILE, "utf8")).toBe(
    `${TEXT}    calibration: { points: [ [ 0.313, 0 ], [ 30.438, 30 ] ] }\n`,
  );
  await page.getByRole("link", { name: "Start again, or take it back" }).click();
  await at("setup-back").click();
  await at("setup-said").getByText("Taken back").waitFor();
  expect(readFileSync(FILE, "utf8")).toBe(TEXT);
});
