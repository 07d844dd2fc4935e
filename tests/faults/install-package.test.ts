import { existsSync, readdirSync, statSync } from "node:fs";
import { basename, join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { NowSnapshot } from "../../station/model/now.js";
import { buildIfMissing } from "../unit/journal/built.js";
import { done, FreshDebian, run, whyNoMachine } from "./fresh-debian.js";
import { type Fault, nextPackage } from "./next-versions.js";

const why = await whyNoMachine(["plain"]);
const MOST_EXPOSURE = 2.5;
const DATA = "/var/lib/workshop-station";
const JOURNAL = `${DATA}/.journal/simulated`;

describe.skipIf(why !== null)(`the Debian package, on a bare Debian 13 (${why ?? "in a container"})`, () => {
  let machine: FreshDebian;
  let built = "";
  /** Into the machine's own folder, where apt finds it. */
  const next = async (version: string, fault: Fault): Promise<string> => {
    const file = await nextPackage(built, version, fault, machine.path("/root"));
    return join("/root", basename(file));
  };
  const apt = (...args: string[]) =>
    machine.inside("env", "DEBIAN_FRONTEND=noninteractive", "apt-get", "-y", "-q", ...args);
  const versionThatRuns = async () =>
    (JSON.parse(await machine.doneInside("workshop-station", "status", "--json")) as { version: string })
      .version;
  const schema = async () =>
    (JSON.parse(await machine.doneInside("workshop-station", "schema", "--json")) as { schema: number })
      .schema;
  const starts = async () => {
    const made = await machine.doneInside(
      "workshop-station",
      "backup",
      "--to",
      `${DATA}/looked-at`,
      "--json",
    );
    return (JSON.parse(made) as { contents: { sessions: number } }).contents.sessions;
  };
  const setAside = () =>
    readdirSync(machine.path(JOURNAL)).filter((name) => /^before-restore.*\.sqlite$/.test(name));
  let shipped: string[] = [];
  let firstSchema = 0;

  beforeAll(async () => {
    await buildIfMissing();
    machine = await FreshDebian.unpack("plain");
  }, 600_000);
  afterAll(async () => {
    await machine?.remove();
  });

  it("is put in with all that it needs, by one command, where nothing of it was", async () => {
// One that was built before is held against the same: building takes minutes.
    const { STATION_DEB: before } = process.env;
    if (before !== undefined) await done(["cp", before, machine.path("/root")]);
    else await done(["bash", ".setup/deb", "--version", "0.1.0", "--to", machine.path("/root")]);
    const [name = ""] = readdirSync(machine.path("/root")).filter((each) => each.endsWith(".deb"));
    const file = join("/root", name);
    built = machine.path(file);
    expect(existsSync(machine.path("/usr/bin/node"))).toBe(false);
    await machine.unbooted("apt-get", "update", "-q");
    const begun = performance.now();
    const install = ["apt-get", "install", "-y", "-q", "--no-install-recommends", file];
    const { code, text } = await machine.unbooted("env", "DEBIAN_FRONTEND=noninteractive", ...install);
    console.log(
      `installed in ${((performance.now() - begun) / 1000).toFixed(0)} s, a package of ${(statSync(machine.path(file)).size / 1e6).toFixed(1)} MB`,
    );
    expect(text).toContain("systemd does not run here");
    expect(code).toBe(0);
    // Nothing of it is another than it was packed.
    expect((await machine.unbooted("dpkg", "--verify", "workshop-station")).text.trim()).toBe("");
    shipped = (await machine.unbooted("dpkg", "-L", "workshop-station")).text
      .split("\n")
      .map((line) => line.trim())
      .filter(Boolean);
    const wrong = await run([
      "find",
      machine.path("/usr/lib/workshop-station"),
      "(",
      "-not",
      "-user",
      "root",
      "-o",
      "-perm",
      "/022",
      ")",
      "-not",
      "-type",
      "l",
    ]);
    expect(wrong.text).toBe("");
    expect(
      shipped.filter((path) =>
        /\.(ts|map|cc|c|h)$|\/(vitest|typescript|playwright-core|tests)(\/|$)/.test(path),
      ),
    ).toEqual([]);
  });

  it("begins with the machine, as a user of its own within its sandbox", async () => {
    await machine.boot();
    await machine.doneInside("workshop-station", "status", "--within", "200");
    expect((await machine.ask<NowSnapshot>("/api/now")).simulated).toBe(true);
    expect(await versionThatRuns()).toBe("0.1.0");
    const pid = (
      await machine.doneInside("systemctl", "show", "-p", "MainPID", "--value", "workshop-station")
    ).trim();
    const status = await machine.doneInside("cat", `/proc/${pid}/status`);
    const uid = (await machine.doneInside("id", "-u", "workshop-station")).trim();
    expect(status).toMatch(new RegExp(`^Uid:\\t${uid}\\t${uid}\\t${uid}`, "m"));
    expect(status).toMatch(/^CapEff:\t0+$/m);
    expect(status).toMatch(/^NoNewPrivs:\t1$/m);
    expect(status).toMatch(/^Seccomp:\t2$/m);
    expect((await machine.doneInside("id", "-Gn", "workshop-station")).trim().split(" ").sort()).toEqual([
      "dialout",
      "gpio",
      "workshop-station",
    ]);
    const security = await machine.doneInside("systemd-analyze", "security", "workshop-station");
    const exposure = Number(/Overall exposure level for \S+: ([\d.]+)/.exec(security)?.[1]);
    console.log(`exposure of the unit as it runs: ${exposure}`);
    expect(exposure).toBeLessThanOrEqual(MOST_EXPOSURE);
    await machine.doneInside("workshop-station", "check");
    const { text } = await machine.inside(
      "udevadm",
      "verify",
      "/usr/lib/udev/rules.d/70-workshop-station.rules",
    );
    expect(text).toMatch(/Fail: +0/);
    firstSchema = await schema();
  });

  it("goes back by itself from a version that does not start, says so, and has lost nothing", async () => {
    const { code, text } = await apt("install", await next("0.2.0", "does not start"));
    expect(code).not.toBe(0);
    expect(text).toMatch(
      /Version 0\.2\.0 does not come up\.[\s\S]*broken on purpose[\s\S]*Version 0\.1\.0 runs again\./,
    );
    expect(await versionThatRuns()).toBe("0.1.0");
    expect(setAside()).toEqual([]);
    expect(await starts()).toBe(2);
  });

  it("is upgraded, with a backup before, to one that brings the journal to a new form", async () => {
    const { code, text } = await apt("install", await next("0.3.0", "changes the journal, and starts"));
    expect(text).toMatch(
      /Backup before the change: \/var\/lib\/workshop-station\/before-upgrade\/\S+\.sqlite/,
    );
    expect(code).toBe(0);
    expect(await versionThatRuns()).toBe("0.3.0");
    expect(await schema()).toBe(firstSchema + 1);
    expect(await starts()).toBe(3);
  });

  it("goes back by hand, with the journal of before, and keeps what came since", async () => {
    const said = await machine.doneInside("bash", "/usr/lib/workshop-station/current/setup/service/back");
    expect(said).toMatch(/The backup made before is put back[\s\S]*Version 0\.1\.0 runs again\./);
    expect(await versionThatRuns()).toBe("0.1.0");
    expect(await schema()).toBe(firstSchema);
    expect(setAside()).toHaveLength(1);
  });

  it("goes back by itself from one that has changed the journal, and ends soon after it has said that it runs", async () => {
    const fault = "changes the journal, and ends soon after it has said that it runs";
    const { code, text } = await apt("install", await next("0.4.0", fault));
    expect(code).not.toBe(0);
    expect(text).toMatch(
      /It does not stay up[\s\S]*The backup made before is put back[\s\S]*Version 0\.1\.0 runs again\./,
    );
    expect(await versionThatRuns()).toBe("0.1.0");
    expect(await schema()).toBe(firstSchema);
    expect(setAside()).toHaveLength(2);
    // The next one that is good mends what dpkg has against the package.
    expect((await apt("install", await next("0.5.0", "none"))).code).toBe(0);
    expect(await versionThatRuns()).toBe("0.5.0");
    expect(readdirSync(machine.path("/usr/lib/workshop-station/earlier"))).toEqual(["0.1.0"]);
  });

  it("is removed to the last file, and leaves journal and configuration", async () => {
    shipped = (await machine.doneInside("dpkg", "-L", "workshop-station"))
      .split("\n")
      .filter((path) => path !== "");
    const before = readdirSync(machine.path(JOURNAL)).filter((name) => name.endsWith(".sqlite"));
    const { code, text } = await apt("remove", "workshop-station");
    expect(text).toContain("The journal stays in /var/lib/workshop-station");
    expect(code).toBe(0);
    const ours = shipped.filter((path) => path.includes("workshop-station") && !path.startsWith("/etc/"));
    expect(ours.length).toBeGreaterThan(100);
    expect(ours.filter((path) => existsSync(machine.path(path)))).toEqual([]);
    expect(readdirSync(machine.path(JOURNAL)).filter((name) => name.endsWith(".sqlite"))).toEqual(before);
    expect(existsSync(machine.path("/etc/workshop-station/station.yaml"))).toBe(true);
    expect((await machine.inside("systemctl", "is-active", "workshop-station")).code).not.toBe(0);
  });

  it("goes on with them where it comes again, and purge takes them", async () => {
    const again = readdirSync(machine.path("/root")).find((name) =>
      name.startsWith("workshop-station_0.5.0_"),
    );
    expect((await apt("install", `/root/${again}`)).code).toBe(0);
    expect(await starts()).toBeGreaterThan(2);
    expect((await apt("purge", "workshop-station")).code).toBe(0);
    const left = await run([
      "find",
      machine.root,
      "-xdev",
      "-name",
      "*workshop-station*",
      "-not",
      "-path",
      "*/root/*.deb",
    ]);
    const notes = /\/(var\/log|var\/cache|var\/lib\/(apt|dpkg|systemd)|run|proc|sys)\//;
    expect(left.text.split("\n").filter((path) => path !== "" && !notes.test(path))).toEqual([]);
    expect((await machine.inside("id", "workshop-station")).code).not.toBe(0);
  });
});
