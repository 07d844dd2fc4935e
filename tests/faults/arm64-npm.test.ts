import { spawnSync } from "node:child_process";
import { copyFileSync, existsSync, mkdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { temporaryFolder } from "../service/station-process.js";
import { HERE, MAKERS_FOLDER, mustRunOn, THROUGH_MAKERS, whyNoArm64 } from "./arm64/system.js";

const why = whyNoArm64(MAKERS_FOLDER);
/** The two that npm has compiled where no ready build is found. */
const COMPILED = { "better-sqlite3": "better_sqlite3.node", epoll: "epoll.node" };
/** ELF for the Arm 64-bit Architecture: EM_AARCH64, which stands in `e_machine`, 18 bytes into the file. */
const [EM_AARCH64, E_MACHINE] = [183, 18];
/**
 * An emulated npm takes minutes for what it has asked for in seconds, and the registry waits for nobody: it has all of it beside
 * it, fetched by npm here, and asks for the rest at its leisure.
 */
const PATIENTLY = ["--prefer-offline", "--maxsockets=2", "--fetch-timeout=1200000", "--fetch-retries=5"];
const FOR_ARM64 = ["--ignore-scripts", "--os=linux", "--cpu=arm64", "--libc=glibc"];
const QUIETLY = ["--no-audit", "--no-fund"];

function hereSaid(command: string, ...args: readonly string[]): string {
  const all = ["-euc", command, "bash", ...args];
  const { status, stdout, stderr, error } = spawnSync("bash", all, { encoding: "utf8" });
  if (status !== 0) throw new Error(`${command}: ${error?.message ?? stderr}`);
  return stdout.trim();
}

/** With them npm asks there whom it asks here, and trusts whom it trusts here. */
function npmSettings(folder: string): string[] {
  const settings = [
    `npm_config_registry=${hereSaid("npm config get registry")}`,
    `npm_config_cache=${join(folder, "cache")}`,
    // As `.setup/packages` has it on a Pi: Debian's own headers spare a download.
    "npm_config_nodedir=/usr",
    "JOBS=2",
  ];
  const trusted = hereSaid("npm config get cafile");
  if (existsSync(trusted)) {
    copyFileSync(trusted, join(folder, "trusted.pem"));
    settings.push(`npm_config_cafile=${join(folder, "trusted.pem")}`);
  }
  return settings;
}

describe.skipIf(why !== "")(`npm ci, as on a Pi with the 64-bit system${why}`, () => {
  it("compiles there, and builds a station that runs with what it has put in", async () => {
    const { folder, remove } = temporaryFolder();
    try {
      const [copy, scratch] = [join(folder, "station"), join(folder, "scratch")];
      for (const each of [copy, scratch]) mkdirSync(each);
      const files = "git ls-files -z --cached --others --exclude-standard";
      hereSaid(`${files} | tar --null -T - -c | tar -x -C "$1"`, copy);
      for (const name of ["package.json", "package-lock.json"]) copyFileSync(name, join(scratch, name));
      const npm = ["env", ...npmSettings(folder), "npm"];
      await mustRunOn({ name: "here", node: npm, folder: scratch }, "ci", ...QUIETLY, ...FOR_ARM64);

      const begun = performance.now();
      const there = { name: "arm64", node: [...THROUGH_MAKERS, ...npm], folder: copy };
      await mustRunOn(there, "ci", ...QUIETLY, ...PATIENTLY);
      const tookS = Math.round((performance.now() - begun) / 1000);
      const how = Object.entries(COMPILED).map(([name, file]) => {
        const build = join(copy, "node_modules", name, "build/Release");
        expect(readFileSync(join(build, file)).readUInt16LE(E_MACHINE), name).toBe(EM_AARCH64);
        return `${name} ${existsSync(join(build, "obj.target")) ? "was compiled there" : "is a ready build"}`;
      });
      process.stdout.write(`npm ci took ${tookS} s; ${how.join(", ")}\n`);

      const node = { name: "arm64", node: [...THROUGH_MAKERS, "node"], folder: copy };
      const script = "tests/faults/arm64/native.mjs";
      const done = JSON.parse(await mustRunOn(node, script));
      expect(done).toMatchObject({ arch: "arm64", sqlite: { same: true }, epoll: "edge" });
      const arch = process.arch;
      expect({ ...done, arch }).toEqual(JSON.parse(await mustRunOn(HERE, script)));

      const command = ".build/station/command.js";
      expect(await mustRunOn(node, command, "check")).toContain("All is well.");
      const journal = join(folder, "journal");
      mkdirSync(journal);
      const [seed, start, boot, from] = ["20261128", "start-0", "boot-0", "1000"];
      await mustRunOn(node, "tests/faults/writing.mjs", journal, seed, start, boot, from, "2");
      const report = JSON.parse(await mustRunOn(node, command, "verify", "--journal", journal, "--json"));
      expect(report).toMatchObject({ ok: true, runs: 2, agree: 2 });
    } finally {
      remove();
    }
  });
});
