import { spawn, spawnSync } from "node:child_process";
import { once } from "node:events";
import { existsSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { afterEach, beforeAll, beforeEach, describe, expect, it } from "vitest";
import { HANGS_AFTER_MS, isWell } from "../../station/outward/systemd.js";
import { buildIfMissing } from "../unit/journal/built.js";
import { journalRig } from "../unit/journal/rig.js";
import { WALL } from "../unit/journal/samples.js";
import { eventually, startStation, temporaryFolder } from "./station-process.js";

const UNIT = fileURLToPath(new URL("../../firmware-notes/workshop-station.service", import.meta.url));
/** The exposure that systemd-analyze gives, from 0 to 10 (it was 1.9): what is taken away from the sandbox is to be noticed. */
const MOST_EXPOSURE = 2.5;
const missing = ["systemd-analyze", "systemd-notify", "socat"].filter(
  (program) => spawnSync("sh", ["-c", `command -v ${program}`]).status !== 0,
);
const why = missing.length === 0 ? "" : ` (NOT RUN, not here: ${missing.join(", ")})`;

describe.skipIf(missing.length > 0)(`with systemd${why}`, () => {
  let folder: string;
  let cleaning: (() => unknown)[] = [];
  beforeAll(buildIfMissing);
  beforeEach(() => {
    const made = temporaryFolder();
    folder = made.folder;
    cleaning = [made.remove];
  });
  afterEach(async () => {
    for (const clean of cleaning.reverse()) await clean();
  });

  it("the unit file says nothing that systemd does not know, and exposes little", () => {
    const { stdout, stderr } = spawnSync("systemd-analyze", ["security", "--offline=true", UNIT], {
      encoding: "utf8",
    });
    expect(stderr).toBe("");
    const exposure = Number(/Overall exposure level for \S+: ([\d.]+)/.exec(stdout)?.[1]);
    expect(exposure).toBeGreaterThan(0);
    expect(exposure).toBeLessThanOrEqual(MOST_EXPOSURE);
  });

  it("a station says that it runs, that it is alive while it is, and that it stops", async () => {
    const socket = join(folder, "notify");
    const listener = spawn("socat", ["-u", `UNIX-RECV:${socket}`, "STDOUT"], {
      stdio: ["ignore", "pipe", "inherit"],
    });
    let heard = "";
    listener.stdout.on("data", (data: Buffer) => {
      heard += data.toString();
    });
    const count = (word: string) => heard.split(word).length - 1;
    const ended = once(listener, "exit");
    cleaning.push(async () => {
      listener.kill();
      await ended;
    });
    await eventually(() => existsSync(socket), "the socket");
    const station = await startStation(folder, null, {
      env: { NOTIFY_SOCKET: socket, WATCHDOG_USEC: "1500000" },
    });
    cleaning.push(() => (station.child.exitCode === null ? station.kill() : undefined));
    await eventually(() => count("READY=1") === 1, "that it runs");
    await eventually(() => count("WATCHDOG=1") >= 3, "that it is alive");
    // A main thread that hangs says nothing: stopped as a whole, the station is as one.
    station.child.kill("SIGSTOP");
    // A word that was on its way may still come.
    let before = 0;
    await eventually(async () => {
      before = count("WATCHDOG=1");
      await new Promise((resolve) => setTimeout(resolve, 3000));
      return count("WATCHDOG=1") === before;
    }, "silence");
    station.child.kill("SIGCONT");
    await eventually(() => count("WATCHDOG=1") > before, "that it is alive again");
    expect(await station.stop()).toBe(0);
    await eventually(() => count("STOPPING=1") === 1, "that it stops");
  });
});

describe("what proves that a station is alive", () => {
  const rig = journalRig();

  it("is a writing thread that answers: one that hangs in its disk does not, and one that waits for a lock does", async () => {
    const journal = await rig.opened({ workerUrl: new URL("./stuck-writer.mjs", import.meta.url) });
    journal.silentMs();
    await eventually(() => journal.silentMs() < 5, "its word");
    const at = { wall: WALL, mono: 1000 };
    const whom = { who: null, role: null, address: null, what: "test", subject: "", outcome: "done", at };
    const hanging = journal.deed({ ...whom, detail: { hangMs: 5000 } });
    const silent = await eventually(() => journal.silentMs() > 700 && journal.silentMs(), "its silence");
    expect(silent).toBeGreaterThan(700);
    await hanging;
    await eventually(() => journal.silentMs() < 300, "its word again");

    // Another program holds the file: nothing can be committed, and the thread is alive all the same.
    const holder = spawn(process.execPath, [
      "-e",
      `const db = require("better-sqlite3")(process.argv[1]); db.exec("BEGIN IMMEDIATE"); console.log("held"); setTimeout(() => {}, 60000)`,
      join(rig.folder, "journal.sqlite"),
    ]);
    await once(holder.stdout, "data");
    let kept = false;
    const waiting = journal.deed(whom).then(() => {
      kept = true;
    });
    await eventually(() => !journal.health().writing, "that nothing is written");
    expect(kept).toBe(false);
    await eventually(() => journal.silentMs() < 300, "its word meanwhile");
    holder.kill("SIGKILL");
    await waiting;
  });

  it("counts as hanging after five minutes, which no commit takes that ends", () => {
    expect([0, 60_000, HANGS_AFTER_MS - 1, HANGS_AFTER_MS].map(isWell)).toEqual([true, true, true, false]);
  });

  it("is asked of systemd as the unit file says", () => {
    const unit = readFileSync(UNIT, "utf8");
    expect(unit).toMatch(/^Type=notify$/m);
    expect(unit).toMatch(/^NotifyAccess=all$/m);
    // Told every third of it, by a look every half second.
    expect(Number(/^WatchdogSec=(\d+)$/m.exec(unit)?.[1])).toBeGreaterThanOrEqual(30);
  });
});
