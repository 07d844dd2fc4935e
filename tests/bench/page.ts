import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { gzipSync } from "node:zlib";
import { openBrowser } from "../browser/chromium.js";
import { startStation, temporaryFolder } from "../service/station-process.js";
import { type BenchResult, quantile } from "./result.js";

const ASSETS = fileURLToPath(new URL("../../ui/assets", import.meta.url));
const STARTS = 5;

/** Size of what the browser loads, and first paint of Now with a browser that was just started and has nothing stored. */
export async function benchPage(): Promise<BenchResult[]> {
  const { folder, remove } = temporaryFolder();
  const station = await startStation(folder, null);
  try {
    const paints: number[] = [];
    const empties: number[] = [];
    for (let i = 0; i < STARTS; i += 1) {
      empties.push(await firstPaint(`data:text/html,<h1>Now</h1>`));
      paints.push(await firstPaint(station.url));
    }
    const paint = { value: quantile(paints, 0.5), unit: "ms" } as const;
    const name = `first contentful paint of Now, cold start of the browser, median of ${STARTS}`;
    return [
      { name, ...paint, baseline: 1_000, against: "the budget of 1 s", bound: { atMost: 1 } },
      { name, ...paint, baseline: quantile(empties, 0.5), against: "a page of one heading", bound: null },
      {
        name: "scripts and styles, gzip",
        value: zippedKb(),
        baseline: 120,
        against: "the budget of 120 kB",
        unit: "kB",
        bound: { atMost: 1 },
      },
    ];
  } finally {
    await station.stop();
    remove();
  }
}

function zippedKb(): number {
  const files = readdirSync(ASSETS).filter((name) => /\.(js|css)$/.test(name));
  return files.reduce((sum, name) => sum + gzipSync(readFileSync(join(ASSETS, name))).length, 0) / 1000;
}

async function firstPaint(url: string): Promise<number> {
  const browser = await openBrowser();
  try {
    const page = await browser.newPage({ viewport: { width: 800, height: 480 } });
    await page.goto(url);
    const paint = await page.waitForFunction(
      () => performance.getEntriesByName("first-contentful-paint")[0]?.startTime ?? null,
    );
    return (await paint.jsonValue()) as number;
  } finally {
    await browser.close();
  }
}
