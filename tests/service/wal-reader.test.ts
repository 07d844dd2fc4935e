import { spawn } from "node:child_process";
import { once } from "node:events";
import { existsSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { JOURNAL_FILE } from "../../station/journal/database.js";
import { journalRig, many, quick } from "../unit/journal/rig.js";
import { eventually } from "./station-process.js";

/** Another program that reads the journal and does not let go of what it saw. */
const READER = `
  const Database = require("better-sqlite3");
  const db = new Database(process.argv[1], { readonly: true });
  db.exec("BEGIN");
  db.prepare("SELECT count(*) FROM reading").get();
  process.stdout.write("reading");
  setInterval(() => {}, 1000);
`;

const rig = journalRig();
const tuning = { ...quick, parcelReadings: 2000, lookEveryMs: 20 };

describe("a journal that another program reads for long", () => {
  it("lets its WAL grow, knows it, loses nothing, and cuts it back by itself when the reader has gone", async () => {
    const open = await rig.opened({ tuning });
    open.readings(many(0, 100));
    await open.flush();
    const file = join(rig.folder, JOURNAL_FILE);
    expect(existsSync(file)).toBe(true);
    const reader = spawn(process.execPath, ["-e", READER, file], { stdio: ["ignore", "pipe", "inherit"] });
    await once(reader.stdout, "data");

    let given = 100;
    for (const wal = () => open.health().wal; (wal()?.bytes ?? 0) < 9e6 || wal()?.pagesWaiting === 0; ) {
      open.readings(many(given, 4000));
      given += 4000;
      await open.flush();
    }
    expect(open.health()).toMatchObject({ writing: true, waiting: 0, dropped: 0 });

    const gone = once(reader, "exit");
    reader.kill("SIGKILL");
    await gone;
    await eventually(() => open.health().wal?.bytes === 0, "the WAL to be cut back");
    expect(open.health().wal?.pagesWaiting).toBe(0);
    expect((await rig.kept()).length).toBe(given);
  });
});
