import { mkdirSync, readdirSync, readFileSync, renameSync, utimesSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { backupName } from "../../station/journal/backup/folder.js";
import { Board, rigConfig, SysFolder } from "../service/bench-rig.js";
import {
  eventually,
  type StationProcess,
  startStation,
  temporaryFolder,
} from "../service/station-process.js";
import { openBrowser } from "./chromium.js";

const DAY = 86_400_000;

describe("the page Journal", () => {
  const { folder, remove } = temporaryFolder();
  const sys = new SysFolder(folder);
  const drive = join(folder, "drive");
  const backups = () => readdirSync(drive).filter((name) => name.endsWith(".sqlite"));
  const newest = () => backups().sort().at(-1);
  let board: Board;
  let station: StationProcess;
  let browser: Browser;
  let page: Page;
  const card = () => page.locator("section", { has: page.locator("#backups-title") });
  const start = async (more: object) => {
    station = await startStation(folder, rigConfig(sys, board, more), { more: ["--sys-root", sys.root] });
    await open();
  };

  /** Once all has come that the page asks for, nothing moves under a finger any more. */
  const open = async () => {
    await page.goto(`${station.url}/journal`);
    await page
      .getByTestId("journal-words")
      .getByText(/being written/)
      .waitFor();
    await page.getByText("journal.sqlite").waitFor();
    await card()
      .getByText(/Made daily|There are none/)
      .waitFor();
  };

  beforeAll(async () => {
    board = await Board.plugIn(folder);
    board.reportEvery(200);
    mkdirSync(drive);
    browser = await openBrowser();
    page = await browser.newPage({ viewport: { width: 800, height: 480 } });
  });
  afterAll(async () => {
    await browser?.close();
    await station?.stop();
    await board?.unplug();
    remove();
  });

  it("says plainly that there is no backup where none is set up, and what to write", async () => {
    await start({});
    await card().getByText("There are none.").waitFor();
    await card().getByText("backup: { folder: /mnt/backup }").waitFor();
    expect(await page.getByTestId("backup-now").count()).toBe(0);
    await page
      .getByTestId("journal-words")
      .getByText(/The journal is being written\..* free/)
      .waitFor();
  });

  it("gives the runs as a table for a spreadsheet", async () => {
    const [download] = await Promise.all([
      page.waitForEvent("download"),
      page.getByRole("link", { name: "Runs (CSV)" }).click(),
    ]);
    expect(download.suggestedFilename()).toBe("runs.csv");
    const file = join(folder, "runs.csv");
    await download.saveAs(file);
    expect(readFileSync(file, "utf8")).toMatch(/^run,start,end,/);
    await station.stop();
  });

  it("has an alarm of low priority where the last good one is too old, and one made by a key ends it", async () => {
    const old = join(drive, backupName(Date.now() - 5 * DAY));
    writeFileSync(old, "");
    utimesSync(old, new Date(), new Date());
    await start({
      backup: { folder: drive, at: "00:00" },
      alarms: { "backup-old": { on_delay_s: 0, off_delay_s: 0 } },
    });
    await card()
      .getByText(/Last good one .* 5\sd ago/)
      .waitFor();
    const alarmed = page.locator("nav .count");
    await alarmed.getByText("1").waitFor();
    await page.getByTestId("backup-now").focus();
    await page.keyboard.press("Enter");
    await page.keyboard.press("Enter");
    await card()
      .getByText(/Last good one .* ago/)
      .getByText(/under 1\ss|\d+\ss ago/)
      .waitFor();
    await page.getByRole("button", { name: "Back up now" }).waitFor();
    // Two presses make one.
    expect(backups()).toHaveLength(2);
    await page.getByTestId("backups").locator("tbody tr").first().getByText("day, week, month").waitFor();
    await page.goto(`${station.url}/alarms`);
    await page
      .getByText(/The last good backup was made less than a day ago/)
      .first()
      .waitFor();
  });

  it("says that the drive is not there, and finds it again", async () => {
    renameSync(drive, `${drive}-away`);
    await open();
    await card()
      .getByText(/is not there: is the drive mounted/)
      .waitFor();
    await page.getByTestId("backup-now").click();
    await eventually(() => /could not be made/.test(station.output()), "the attempt to fail");
    await card()
      .getByText(/is not there: is the drive mounted/)
      .waitFor();
    renameSync(`${drive}-away`, drive);
    const before = newest();
    await page.getByRole("button", { name: "Back up now" }).click();
    await eventually(() => newest() !== before, "the backup to be there");
    await card()
      .getByText(/is not there/)
      .waitFor({ state: "detached" });
  });
});
