import { existsSync, mkdirSync, readFileSync, renameSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, expect, it } from "vitest";
import { SysFolder, w1SlaveText } from "../service/bench-rig.js";
import {
  eventually,
  type StationProcess,
  startStation,
  temporaryFolder,
} from "../service/station-process.js";
import { openBrowser } from "./chromium.js";
import { lookAtThreeSizes } from "./three-sizes.js";

const { folder, remove } = temporaryFolder();
const sys = new SysFolder(folder);
const OTHER = "28-0000abcdef02";
const FILE = join(folder, "station.yaml");
let station: StationProcess;
let browser: Browser;
let page: Page;

function other(celsius: number): void {
  const file = join(sys.root, "bus/w1/devices", OTHER, "w1_slave");
  mkdirSync(join(file, ".."), { recursive: true });
  writeFileSync(`${file}.new`, w1SlaveText(celsius));
  renameSync(`${file}.new`, file);
}

const look = (name: string) => lookAtThreeSizes(page, name);

beforeAll(async () => {
  other(19);
  // Lines as sysfs shows them; none of them is taken in this test.
  const chip = join(sys.root, "class/gpio/gpiochip512");
  mkdirSync(chip, { recursive: true });
  for (const [name, text] of [
    ["label", "pinctrl-bcm2711"],
    ["base", "512"],
    ["ngpio", "58"],
  ] as const)
    writeFileSync(join(chip, name), `${text}\n`);
  const more = ["--sys-root", sys.root, "--serial-root", join(folder, "by-id")];
  station = await startStation(folder, null, { more });
  browser = await openBrowser();
  page = await browser.newPage({ viewport: { width: 800, height: 480 } });
});
afterAll(async () => {
  await browser?.close();
  await station?.stop();
  remove();
});

const at = (id: string) => page.getByTestId(id);

it("finds what is connected and shows its values, from the page where the workshop's facts are", async () => {
  await page.goto(`${station.url}/workshop`);
  await page.getByRole("main").getByRole("link", { name: "Set up sensors" }).click();
  await at(`value-probe:${sys.probe}-temperature`).getByText("18.5 °C").waitFor();
  await at(`value-probe:${OTHER}-temperature`).getByText("19.0 °C").waitFor();
  await at("value-sensor:hwmon:sht3x-humidity").getByText("45 % RH").waitFor();
  await page.getByText("There is none yet: the station shows its simulated bench").waitFor();
  await look("found");
});

it("says which one was touched", async () => {
  await at("touch").click();
  await at("touch-words").getByText("Waiting for one to move").waitFor();
  other(24.5);
  await at("touch-words").getByText(`This one: Probe ${OTHER} rose by 5.5 °C`).waitFor();
  await at(`thing-probe:${OTHER}`).getByText("It moves").waitFor();
  expect(await at(`thing-probe:${sys.probe}`).getByText("It moves").count()).toBe(0);
  await look("touched");
}, 60_000);

it("says what is missing in the form, and leads back from it", async () => {
  await at(`role-probe:${OTHER}-temperature`).click();
  await at("role-show").click();
  await page.getByText("Expected: one of these").waitFor();
  await page.getByText("Expected: a number, from the manual").first().waitFor();
  await look("form");
  await at("role-leave").click();
  await at("touch").waitFor();
  expect(existsSync(FILE)).toBe(false);
});

it("shows the text, writes it, says what is to be typed, and takes it back", async () => {
  await at(`role-probe:${OTHER}-temperature`).click();
  await page.getByLabel("Coolant in", { exact: true }).check();
  expect(await page.getByLabel("Name", { exact: true }).inputValue()).toBe("Coolant in");
  await page.getByLabel("Name of the station").fill("Back shed");
  await page.getByLabel("Coolant from").fill("16");
  await page.getByLabel("Coolant up to").fill("21");
  await at("role-show").click();
  await at("setup-diff").getByText(`device: ${OTHER}`).waitFor();
  await look("diff");
  expect(existsSync(FILE)).toBe(false);
  await at("written-leave").click();
  await page.getByLabel("Name", { exact: true }).fill("Water");
  await at("role-show").click();
  await at("setup-write").click();
  await at("setup-said").getByText("Written.").waitFor();
  // Where the page goes on is in sight, and where the keyboard is.
  await expect.poll(() => at("setup-said").evaluate((told) => told === document.activeElement)).toBe(true);
  expect(await at("setup-said").evaluate((told) => told.getBoundingClientRect().bottom < innerHeight)).toBe(
    true,
  );
  await at("setup-pending").getByText("npm start").waitFor();
  await at(`thing-probe:${OTHER}`).getByText("Water").waitFor();
  await at(`thing-probe:${OTHER}`).getByText("from the next start").waitFor();
  expect(readFileSync(FILE, "utf8")).toMatch(/coolant_range: \{ low: 16, high: 21 \}/);
  await look("written");
  // What is shown was asked for before: a press while the page asks anew must not be one about a file that is no more.
  await page.route("**/api/setup?*", async (route) => {
    await new Promise((next) => setTimeout(next, 1_000));
    await route.continue();
  });
  await at("setup-back").click();
  await eventually(() => !existsSync(FILE), "no file again");
  await at("setup-back").click();
  await eventually(() => existsSync(FILE), "the file again");
  // One that is still being held is let go first.
  await page.unrouteAll({ behavior: "wait" });
  await at(`thing-probe:${OTHER}`).getByText("Water").waitFor();
});

it("does not write over what was changed by hand meanwhile", async () => {
  await at(`role-probe:${sys.probe}-temperature`).click();
  await page.getByLabel("Coolant out", { exact: true }).check();
  await at("role-show").click();
  await at("setup-diff").waitFor();
  const byHand = `# By hand\n${readFileSync(FILE, "utf8")}`;
  writeFileSync(FILE, byHand);
  await at("setup-write").click();
  await page.getByRole("alert").getByText("was changed since this was begun").waitFor();
  expect(readFileSync(FILE, "utf8")).toBe(byHand);
  // The page looks again, and writes what it then finds.
  const lookedAgain = page.waitForResponse((response) => new URL(response.url()).pathname === "/api/setup");
  await page.getByRole("button", { name: "Try again" }).click();
  await (await lookedAgain).finished();
  await at("role-show").click();
  await at("setup-diff")
    .getByText("# By hand")
    .or(at("setup-diff").getByText("lines stay as they are"))
    .first()
    .waitFor();
  await at("setup-write").click();
  await at("setup-said").getByText("Written.").waitFor();
  expect(readFileSync(FILE, "utf8")).toMatch(/^# By hand\n[\s\S]*coolant-out/);
});
