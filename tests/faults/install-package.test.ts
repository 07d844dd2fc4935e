import { existsSync, mkdirSync, readdirSync, readFileSync, statSync, writeFileSync } from "node:fs";
import { basename, join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { NowSnapshot } from "../../station/model/now.js";
import { buildIfMissing } from "../unit/journal/built.js";
import { done, FreshDebian, run, whyNoMachine } from "./fresh-debian.js";
import { CONFIG, DATA, InstalledStation, remains, UPGRADE } from "./installed-station.js";
import { type Fault, nextPackage } from "./next-versions.js";

const why = await whyNoMachine(["plain"]);
/** Where a station lies that was put in from a copy of the repository. */
const COPY = "/opt/workshop-station/current";
const MOST_EXPOSURE = 2.5;
const JOURNAL = `${DATA}/.journal/simulated`;

describe.skipIf(why !== null)(`the Debian package, on a bare Debian 13 (${why ?? "in a container"})`, () => {
  let machine: FreshDebian;
  let station: InstalledStation;
  let built = "";
  /** Into the machine's own folder, where apt finds it. */
  const next = async (version: string, fault: Fault): Promise<string> => {
    const file = await nextPackage(built, version, fault, machine.path("/root"));
    return join("/root", basename(file));
  };
  const apt = (...args: string[]) =>
    machine.inside("env", "DEBIAN_FRONTEND=noninteractive", "apt-get", "-y", "-q", ...args);
  const setAside = () =>
    readdirSync(machine.path(JOURNAL)).filter((name) => /^before-restore.*\.sqlite$/.test(name));
  const status = async () =>
    /^Status: (.*)$/m.exec((await machine.inside("dpkg", "--status", "workshop-station")).text)?.[1];
  let shipped: string[] = [];
  let firstSchema = 0;
  let starts = 0;

  beforeAll(async () => {
    await buildIfMissing();
    machine = await FreshDebian.unpack("plain");
    station = new InstalledStation(machine);
  }, 600_000);
  afterAll(async () => {
    await machine?.remove();
  }, 600_000);

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
    await station.isUp();
    expect((await station.ask<NowSnapshot>("/api/now")).simulated).toBe(true);
    expect(await station.version()).toBe("0.1.0");
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
    firstSchema = await station.schema();
    // Nothing is a conffile, about which an upgrade would ask.
    await machine.doneInside("sh", "-c", `echo '# as its owner wants it' >>${CONFIG}`);
    await station.endRun(await station.beginRun());
  });

  it("is not upgraded while a run is open, and runs on", async () => {
    const file = await next("0.1.5", "none");
    await station.whileCutting(async () => {
      const { code, text } = await apt("install", file);
      expect(text).toMatch(/not stopped now: [\s\S]*Run 1 is open\.[\s\S]*WORKSHOP_STATION_EVEN_NOW/);
      expect(code).not.toBe(0);
      expect([await station.version(), await status()]).toEqual(["0.1.0", "install ok installed"]);
    });
    expect((await station.kept()).runs).toBeGreaterThan(0);
  });

  it("and a copy of the repository refuse to be put in beside each other", async () => {
    await done(["cp", "-r", ".setup", machine.path("/root/.setup")]);
    await done(["touch", machine.path("/root/package-lock.json")]);
    for (const script of ["install", "remove"]) {
      const { code, text } = await machine.inside("bash", `/root/.setup/${script}`);
      expect(text).toMatch(/Debian package[\s\S]*apt remove/);
      expect(code).toBe(1);
    }
    await machine.doneInside("mkdir", "-p", COPY);
    const { code, text } = await apt("install", `/root/workshop-station_0.1.5.deb`);
    expect(text).toContain(`Remove that one first: sudo bash ${COPY}/setup/remove`);
    expect(code).not.toBe(0);
    expect([await station.version(), await status()]).toEqual(["0.1.0", "install ok installed"]);
    await machine.doneInside("rm", "-r", "/opt/workshop-station");
  });

  it("goes back by itself from a version that does not start, says so, and has lost nothing", async () => {
    starts = (await station.kept()).sessions;
    const { code, text } = await apt("install", await next("0.2.0", "does not start"));
    expect(code).not.toBe(0);
    expect(text).toMatch(
      /Version 0\.2\.0 does not come up\.[\s\S]*broken on purpose[\s\S]*Version 0\.1\.0 runs again\./,
    );
    expect(await station.version()).toBe("0.1.0");
    expect(setAside()).toEqual([]);
    const { sessions, runs } = await station.kept();
    expect(sessions).toBe(starts + 1);
    expect(runs).toBeGreaterThan(0);
  });

  it("is upgraded, with a backup before, to one that brings the journal to a new form", async () => {
    const { code, text } = await apt("install", await next("0.3.0", "changes the journal, and starts"));
    expect(text).toMatch(
      /Backup before the change: \/var\/lib\/workshop-station\/before-upgrade\/\S+\.sqlite/,
    );
    expect(code).toBe(0);
    expect(await station.version()).toBe("0.3.0");
    expect(await station.schema()).toBe(firstSchema + 1);
    const { sessions, runs } = await station.kept();
    expect(sessions).toBe(starts + 2);
    expect(runs).toBeGreaterThan(0);
    expect(readFileSync(machine.path(CONFIG), "utf8")).toContain("# as its owner wants it");
  });

  it("goes back by hand, with the journal of before, and keeps what came since", async () => {
    const said = await machine.doneInside("bash", "/usr/lib/workshop-station/current/setup/service/back");
    expect(said).toMatch(/The backup made before is put back[\s\S]*Version 0\.1\.0 runs again\./);
    expect(await station.version()).toBe("0.1.0");
    expect(await station.schema()).toBe(firstSchema);
    expect(setAside()).toHaveLength(1);
  });

  it("goes back by itself from one that has changed the journal, and ends soon after it has said that it runs", async () => {
    const fault = "changes the journal, and ends soon after it has said that it runs";
    const { code, text } = await apt("install", await next("0.4.0", fault));
    expect(code).not.toBe(0);
    expect(text).toMatch(
      /It does not stay up[\s\S]*The backup made before is put back[\s\S]*Version 0\.1\.0 runs again\./,
    );
    expect(await station.version()).toBe("0.1.0");
    expect(await station.schema()).toBe(firstSchema);
    expect(setAside()).toHaveLength(2);
    // The next one that is good mends what dpkg has against the package.
    expect((await apt("install", await next("0.5.0", "none"))).code).toBe(0);
    expect(await station.version()).toBe("0.5.0");
    expect(readdirSync(machine.path("/usr/lib/workshop-station/earlier"))).toEqual(["0.1.0"]);
  });

  it("is upgraded by its timer from apt's sources, and not again to a version that did not come up", async () => {
    const offered = machine.path("/srv/offered");
    const offer = async (version: string, fault: Fault) => {
      mkdirSync(offered, { recursive: true });
      await nextPackage(built, version, fault, offered);
      await done(["sh", "-c", "dpkg-scanpackages . >Packages 2>/dev/null"], { cwd: offered });
    };
    await machine.doneInside("sh", "-c", "rm -rf /etc/apt/sources.list*; mkdir /etc/apt/sources.list.d");
    writeFileSync(machine.path("/etc/apt/sources.list"), "deb [trusted=yes] file:/srv/offered ./\n");
    await offer("0.5.0", "none");
    expect((await station.timerFires()).text).toContain("Nothing newer than 0.5.0");
    await offer("0.6.0", "does not start");
    const bad = await station.timerFires();
    expect(bad.text).toMatch(
      /0\.6\.0 does not come up[\s\S]*Version 0\.5\.0 runs again[\s\S]*0\.6\.0 was not put in/,
    );
    expect(bad.result).toBe("exit-code");
    const { sessions } = await station.kept();
    expect((await station.timerFires()).text).toContain("Version 0.6.0 did not come up when it was tried");
    expect((await station.kept()).sessions).toBe(sessions);
    await offer("0.7.0", "none");
    const good = await station.timerFires();
    expect(good.text).toMatch(/Backup before the change[\s\S]*From 0\.5\.0 to 0\.7\.0/);
    expect(good.result).toBe("success");
    expect([await station.version(), await status()]).toEqual(["0.7.0", "install ok installed"]);
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
    expect(readFileSync(machine.path(CONFIG), "utf8")).toContain("# as its owner wants it");
    expect((await machine.inside("systemctl", "is-active", "workshop-station")).code).not.toBe(0);
  });

  it("takes nothing by a late purge from a copy of the repository that has come in its place", async () => {
    await machine.doneInside("mkdir", "-p", COPY);
    const { code, text } = await apt("purge", "workshop-station");
    expect(text).toContain("are its own, and stay");
    expect(code).toBe(0);
    expect(existsSync(machine.path(`${JOURNAL}/journal.sqlite`))).toBe(true);
    await machine.doneInside("rm", "-r", "/opt/workshop-station");
  });

  it("goes on with them where it comes again, and purge takes them", async () => {
    expect((await apt("install", "/root/workshop-station_0.5.0.deb")).code).toBe(0);
    const { sessions, runs } = await station.kept();
    expect(runs).toBeGreaterThan(0);
    expect(sessions).toBeGreaterThan(2);
    expect(readFileSync(machine.path(CONFIG), "utf8")).toContain("# as its owner wants it");
    await machine.doneInside("systemctl", "enable", `${UPGRADE}.timer`);
    const { code, text } = await apt("purge", "workshop-station");
    expect(text).toMatch(
      new RegExp(`Deleted for good: ${DATA} \\([\\s\\S]*Deleted for good: /etc/workshop-station`),
    );
    expect(code).toBe(0);
    expect(await remains(machine)).toEqual([]);
    for (const kind of ["passwd", "group"]) {
      expect((await machine.inside("getent", kind, "workshop-station")).code).not.toBe(0);
    }
  });
});
