import { spawn } from "node:child_process";
import { once } from "node:events";
import { readFileSync, writeFileSync } from "node:fs";
import { createServer } from "node:http";
import type { AddressInfo } from "node:net";
import { join } from "node:path";
import Database from "better-sqlite3";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { MIGRATIONS } from "../../station/journal/migrations.js";
import { buildIfMissing } from "../unit/journal/built.js";
import { Board, rigConfig, SysFolder } from "./bench-rig.js";
import { station as command, STATION_COMMAND } from "./station-command.js";
import { eventually, type StationProcess, startStation, temporaryFolder } from "./station-process.js";

const { version: VERSION } = JSON.parse(readFileSync("package.json", "utf8")) as { version: string };

async function freePort(): Promise<number> {
  const server = createServer().listen(0, "127.0.0.1");
  await once(server, "listening");
  const { port } = server.address() as AddressInfo;
  server.close();
  await once(server, "close");
  return port;
}

interface Said {
  readonly ok: boolean;
  readonly version: string | null;
  readonly text: string;
  readonly occupation: { readonly state: string } | null;
}

describe("npm run station -- status", () => {
  const { folder, remove } = temporaryFolder();
  const sys = new SysFolder(folder);
  let board: Board;
  let station: StationProcess | null = null;
  let port: number;
  const config = join(folder, "station.yaml");
  /** Not waited for in this process: the board of the test has to go on speaking meanwhile. */
  const status = async (...more: string[]): Promise<{ code: number | null; said: Said }> => {
    const child = spawn(process.execPath, [STATION_COMMAND, "status", "--config", config, "--json", ...more]);
    let text = "";
    child.stdout.on("data", (data: Buffer) => {
      text += data.toString();
    });
    const [code] = (await once(child, "exit")) as [number | null];
    return { code, said: JSON.parse(text) as Said };
  };

  beforeAll(async () => {
    await buildIfMissing();
    port = await freePort();
    board = await Board.plugIn(folder);
    board.reportEvery(200);
    station = await startStation(folder, rigConfig(sys, board, { web: { port, names: ["shed.test"] } }), {
      port,
      more: ["--sys-root", sys.root],
    });
  });
  afterAll(async () => {
    await station?.stop();
    await board.unplug();
    remove();
  });

  it("says that the station of this configuration runs, in which version, and stays so", async () => {
    const { code, said } = await status("--within", "20", "--steady", "2");
    expect(said).toMatchObject({ ok: true, version: VERSION });
    expect(code).toBe(0);
  });

  it("gives leave to stop it only where that is known to leave nobody alone, or where nothing speaks against it", async () => {
    // The laser of this bench is a channel, its machine is none.
    await eventually(async () => (await status()).said.occupation?.state === "unknown", "readings");
    expect((await status("--idle")).code).toBe(1);
    expect((await status("--not-busy")).code).toBe(0);
    await station?.send("POST", "/api/runs");
    const open = await status("--not-busy");
    expect(open.said.occupation?.state).toBe("busy");
    expect(open.code).toBe(1);
    expect((await status("--idle")).code).toBe(1);
  });

  it("is not content with another version, nor with another program, nor with none", async () => {
    await station?.stop();
    station = null;
    const none = await status();
    expect([none.code, none.said.text]).toEqual([1, expect.stringContaining("Nothing answers")]);
    // Nobody is left alone by stopping what does not run; but that the machine is off is not known either.
    expect((await status("--not-busy")).code).toBe(0);
    expect((await status("--idle")).code).toBe(1);

    let me = 404;
    const other = createServer(({ url }, response) => {
      response.statusCode = url === "/api/access/me" ? me : 200;
      response.end(url === "/metrics" ? 'station_info{version="9.9.9",start="x"} 1\n' : NOW);
    }).listen(port, "127.0.0.1");
    await once(other, "listening");
    expect((await status()).said.text).toMatch(/is no station \(404\)/);
    me = 200;
    expect(await status()).toMatchObject({
      code: 1,
      said: { version: "9.9.9", text: `Version 9.9.9 answers, not ${VERSION}.` },
    });
    other.close();
    other.closeAllConnections();
  });

  it("refuses a configuration that leaves the port to chance, and times that are none", () => {
    writeFileSync(config, readFileSync(config, "utf8").replace(`port: ${port}`, "port: 0"));
    const chance = command(folder, "status", "--config", config);
    expect([chance.status, chance.stderr]).toEqual([1, expect.stringContaining("web.port: 0")]);
    writeFileSync(config, readFileSync(config, "utf8").replace("port: 0", `port: ${port}`));
    const soon = command(folder, "status", "--config", config, "--within", "soon");
    expect([soon.status, soon.stderr]).toEqual([
      2,
      expect.stringContaining('found "soon"; expected whole seconds'),
    ]);
  });
});

const NOW = JSON.stringify({
  ...{ start: "x", simulated: false, run: null, channels: [] },
  afterCut: { runOn: { state: "clear", text: "" }, fireWatch: { state: "none", text: "" } },
  journal: { writing: true, text: "" },
});

describe("npm run station -- schema", () => {
  const { folder, remove } = temporaryFolder();
  afterAll(remove);
  const newest = MIGRATIONS.at(-1)?.version ?? 0;
  const schema = () => {
    const { status, stdout } = command(folder, "schema", "--journal", folder, "--json");
    return { status, ...(JSON.parse(stdout) as { ok: boolean; schema: number | null; knows: number }) };
  };

  it("tells a journal that this program can open from one of a newer program, and changes neither", async () => {
    expect(schema()).toMatchObject({ status: 0, ok: true, schema: null, knows: newest });
    const station = await startStation(folder, null, { journal: folder });
    await station.stop();
    expect(schema()).toMatchObject({ status: 0, ok: true, schema: newest });
    const db = new Database(join(folder, "journal.sqlite"));
    db.pragma(`user_version = ${newest + 1}`);
    db.close();
    expect(schema()).toMatchObject({ status: 1, ok: false, schema: newest + 1, knows: newest });
  });
});
