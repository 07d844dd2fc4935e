import { once } from "node:events";
import { mkdtempSync } from "node:fs";
import { join } from "node:path";
import { setImmediate as nextTurn } from "node:timers/promises";
import { SerialPort } from "serialport";
import {
  alarmOf,
  placeLine,
  reportPlaces,
  shownAfter,
  wallNow,
  watchLoudness,
  withPlaces,
} from "../browser/alarm-edges.js";
import { openBrowser } from "../browser/chromium.js";
import { Board, rigConfig, SysFolder } from "../service/bench-rig.js";
import { holdLock } from "../service/held-lock.js";
import { startStation, temporaryFolder } from "../service/station-process.js";
import { type BenchResult, quantile } from "./result.js";

const EDGES = 200;
const HOLD_MS = 2_000;
const BUDGET_MS = 150;

/**
 * From the moment a board's line with the changed fan is written, to the moment the alarm shows in the page, while another
 * connection holds the journal's write lock for two seconds at a time, so that no commit gets through.
 */
export async function benchEdge(): Promise<BenchResult[]> {
  const { folder, remove } = temporaryFolder();
  const sys = new SysFolder(folder);
  const board = await Board.plugIn(folder);
  board.reportEvery(500);
  const station = await startStation(folder, withPlaces(rigConfig(sys, board)), {
    more: ["--sys-root", sys.root],
  });
  const browser = await openBrowser();
  try {
    const page = await browser.newPage();
    await page.goto(station.url);
    await page.waitForSelector('[data-testid="extraction"]:has-text("unning")');
    reportPlaces(board);
    await watchLoudness(page);
    const lock = holdLock(join(folder, "journal", "journal.sqlite"), HOLD_MS);
    const took: number[] = [];
    for (let i = 0; i < EDGES; i += 1) {
      const sent = wallNow();
      board.write(placeLine(i));
      took.push(await shownAfter(page, i, sent));
      // Seen, and gone from the page: as short a list for the next.
      if (i % 2 === 1) await station.send("POST", `/api/alarms/${alarmOf(i)}/acknowledge`, {});
      lock.holdAgain();
    }
    const held = lock.release();
    const bare = await bareLine(folder);
    const all = {
      baseline: BUDGET_MS,
      unit: "ms",
      bound: { atMost: 1 },
      against: `the budget of ${BUDGET_MS} ms`,
    } as const;
    const note = `${EDGES} edges, commits held up ${held} times for ${HOLD_MS} ms`;
    return [
      {
        name: `edge on the serial line to the alarm in the page, p99 (${note})`,
        value: quantile(took, 0.99),
        ...all,
      },
      {
        name: "edge on the serial line to the alarm in the page, median",
        value: quantile(took, 0.5),
        baseline: quantile(bare, 0.5),
        against: "the same line to a bare serial port that only listens",
        unit: "ms",
        bound: null,
      },
    ];
  } finally {
    await browser.close();
    await station.stop();
    await board.unplug();
    remove();
  }
}

/** The least there is: the same line over a pair of terminals of its own, to a serial port that only listens. */
async function bareLine(parent: string): Promise<number[]> {
  const folder = mkdtempSync(join(parent, "bare-"));
  const board = await Board.plugIn(folder);
  const port = new SerialPort({ path: board.path, baudRate: 115_200 });
  await once(port, "open");
  const took: number[] = [];
  for (let i = 0; i < EDGES; i += 1) {
    const sent = wallNow();
    board.report();
    await once(port, "data");
    took.push(wallNow() - sent);
    await nextTurn();
  }
  const closed = once(port, "close");
  port.close();
  await closed;
  await board.unplug();
  return took;
}
