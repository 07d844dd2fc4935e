import { readFileSync } from "node:fs";
import type { Browser } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { BarePi } from "./bare-pi.js";
import { openBrowser } from "./chromium.js";
import { follow, type Maker, stepsOf } from "./wire-it-up.js";

/** Nothing but what the README says is done here. */
describe("the README's “Wire it up”, word by word, on a Pi with nothing on it", () => {
  const steps = stepsOf(readFileSync("README.md", "utf8"), "Wire it up");
  let browser: Browser;
  let maker: Maker;

  beforeAll(async () => {
    browser = await openBrowser();
    const page = await browser.newPage({ viewport: { width: 1280, height: 800 } });
    maker = { pi: new BarePi(), page, said: "" };
  });
  afterAll(async () => {
    await browser?.close();
    await maker?.pi.remove();
  });

  it("leads from there to a station that shows the coolant and the extraction", async () => {
    expect(steps.length).toBeGreaterThan(8);
    for (const [n, step] of steps.entries()) await follow(maker, step, n + 1);
    expect(readFileSync(`${maker.pi.folder}/station.yaml`, "utf8")).toMatch(/bias: pull-up/);
  }, 300_000);
});
