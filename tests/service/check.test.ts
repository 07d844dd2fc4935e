import { spawnSync } from "node:child_process";
import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { stringify } from "yaml";
import { Board, rigConfig, SysFolder } from "./bench-rig.js";
import { temporaryFolder } from "./station-process.js";

const COMMAND = join(process.cwd(), ".build/station/command.js");

describe("npm run station -- check", () => {
  const { folder, remove } = temporaryFolder();
  const sys = new SysFolder(folder);
  let board: Board;
  const check = (config: object | null, ...more: string[]) => {
    const args = [COMMAND, "check", "--sys-root", sys.root, ...more];
    if (config !== null) {
      const file = join(folder, "station.yaml");
      writeFileSync(file, stringify(config));
      args.push("--config", file);
    }
    const { status, stdout, stderr } = spawnSync(process.execPath, args, { cwd: folder, encoding: "utf8" });
    return { status, stdout, stderr };
  };

  beforeAll(async () => {
    board = await Board.plugIn(folder);
  });
  afterAll(async () => {
    await board.unplug();
    remove();
  });

  it("finds all that is wired, and ends with 0", () => {
    const { status, stdout } = check(rigConfig(sys, board));
    expect(stdout).toContain("All is well.");
    expect(stdout).toContain('ok  Coolant in: read as "Coolant into the tube" from water-probe');
    expect(status).toBe(0);
  });

  it("names what is missing, says how to mend it, and ends with 1", () => {
    sys.coolantUnplugged();
    const config = rigConfig(sys, board) as { sources: { id: string }[]; channels: { kind: string }[] };
    const channels = config.channels.filter(({ kind }) => kind !== "room-humidity");
    const sources = config.sources.map((each) =>
      each.id === "board" ? { ...each, path: "/dev/serial/by-id/nothing" } : each,
    );
    const { status, stdout } = check({ ...config, sources, channels });
    expect(status).toBe(1);
    expect(stdout).toMatch(/!! {2}water-probe .*: no probe at all is on the bus\n +To mend it: .*4\.7 kΩ/);
    expect(stdout).toMatch(/!! {2}board .*: it is not there/);
    expect(stdout).toMatch(/Room humidity: no channel of this kind: the dew point is not known/);
    expect(stdout).toMatch(/\d of \d+ want mending\./);
    sys.coolant(18.5);
  });

  it("gives the same as one JSON object", () => {
    const { status, stdout } = check(rigConfig(sys, board), "--json");
    expect(status).toBe(0);
    const report = JSON.parse(stdout) as {
      ok: boolean;
      findings: { subject: string; ok: boolean; found: string; mend: string }[];
    };
    expect(report.ok).toBe(true);
    expect(report.findings.map(({ subject }) => subject)).toContain(
      "water-probe (1-Wire probe 28-0000abcdef01)",
    );
  });

  it("says that nothing here is measured where there is no configuration", () => {
    const { folder: empty, remove: removeEmpty } = temporaryFolder();
    const { status, stdout } = spawnSync(process.execPath, [COMMAND, "check"], {
      cwd: empty,
      encoding: "utf8",
    });
    expect(stdout).toContain("nothing here is measured");
    expect(status).toBe(0);
    removeEmpty();
  });

  it("puts what went wrong on the other stream, with the line of a wrong setting", () => {
    const { status, stdout, stderr } = check({
      coolant_range: { low: 1, high: 2 },
      sources: "none",
      channels: [],
    });
    expect(status).toBe(1);
    expect(stdout).toBe("");
    expect(stderr).toMatch(/line \d+, sources: found "none"; expected a list/);
  });

  it("ends with 2 for a verb or an option that is not there", () => {
    for (const args of [["measure"], [], ["check", "--loud"]]) {
      const { status, stderr } = spawnSync(process.execPath, [COMMAND, ...args], { encoding: "utf8" });
      expect(status, args.join(" ")).toBe(2);
      expect(stderr.length).toBeGreaterThan(10);
    }
  });
});
