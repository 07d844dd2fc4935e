import { existsSync, readdirSync, readFileSync } from "node:fs";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { done, FreshDebian, run, whyNoMachine } from "./fresh-debian.js";
import { CONFIG, DATA, InstalledStation, remains, UPGRADE } from "./installed-station.js";

const why = await whyNoMachine(["builder"]);
const COPY = "/root/station";
/** Where new versions come from. */
const NEXT = "/root/next";
const OPT = "/opt/workshop-station";
const GOOD = "8.1.0";
const BROKEN = "8.2.0";
/** What is put into the system beside the program. */
const SYSTEM_FILES = [
  "/etc/systemd/system/workshop-station.service",
  `/etc/systemd/system/${UPGRADE}.service`,
  `/etc/systemd/system/${UPGRADE}.timer`,
  "/etc/udev/rules.d/70-workshop-station.rules",
  "/usr/local/bin/workshop-station",
];
describe.skipIf(why !== null)(`a copy of the repository, installed (${why ?? "in a container"})`, () => {
  let machine: FreshDebian;
  let station: InstalledStation;
  let first = "";
  const bash = (script: string, ...args: string[]) => machine.inside("bash", "-c", script, "bash", ...args);
  const install = (...args: string[]) => bash(`cd ${COPY} && exec bash .setup/install "$@"`, ...args);
  const there = (paths: readonly string[]) => paths.filter((path) => existsSync(machine.path(path)));
  const versionsKept = () => readdirSync(machine.path(`${OPT}/versions`));
  /** A version with a tag of its own, where new ones come from. */
  const publish = (version: string, change: string) =>
    machine.doneInside(
      "bash",
      "-euc",
      `cd ${NEXT}
       sed -i 's/^  "version": ".*"/  "version": "${version}"/' package.json
       ${change}
       git -c user.name=Owner -c user.email=owner@example.org commit -qam 'Version ${version}'
       git tag v${version}`,
    );

  beforeAll(async () => {
    machine = await FreshDebian.unpack("builder");
    station = new InstalledStation(machine);
    const files = "git ls-files -z --cached --others --exclude-standard";
    const into = machine.path(COPY);
    await done([
      "bash",
      "-euc",
      `mkdir -p "$1"; ${files} | tar --null -T - -c | tar -x -C "$1"`,
      "bash",
      into,
    ]);
    // With the network, as a maker has it. Once it is booted the machine has none.
    const registry = (await done(["npm", "config", "get", "registry"])).trim();
    const { code, text } = await machine.unbooted(
      "bash",
      "-euc",
      `cd ${COPY}
       export npm_config_registry=${registry}
       git init -q; git add -A; git -c user.name=Owner -c user.email=owner@example.org commit -q --allow-empty -m First
       source .setup/packages; install_node; install_modules
       git clone -q ${COPY} ${NEXT}`,
    );
    if (code !== 0) throw new Error(text);
    await machine.boot();
  }, 3_600_000);
  afterAll(async () => {
    await machine?.remove();
  }, 600_000);

  it("is put in by one command, and begins with the machine", async () => {
    const { code, text } = await install();
    expect(text).toMatch(/Version \S+ is installed\./);
    expect(code).toBe(0);
    expect(there(SYSTEM_FILES)).toEqual(SYSTEM_FILES);
    first = await station.version();
    // Nothing of the program is for anybody but root to write.
    const loose = ["(", "-not", "-user", "root", "-o", "-perm", "/022", ")", "-not", "-type", "l"];
    expect((await run(["find", machine.path(OPT), ...loose])).text).toBe("");
    expect(readFileSync(machine.path(CONFIG), "utf8")).toContain("bench-simulator");
    await station.endRun(await station.beginRun());
    await bash(`echo '# as its owner wants it' >>${CONFIG}`);
    await machine.powerOff();
    await machine.boot();
    await station.isUp();
    const { sessions, runs } = await station.kept();
    expect(sessions).toBe(2);
    expect(runs).toBeGreaterThan(0);
  });

  it("is not stopped while a run is open, and says how it is all the same", async () => {
    await station.whileCutting(async () => {
      const { code, text } = await install();
      expect(text).toMatch(/Run 1 is open[\s\S]*not stopped now, and nothing was changed[\s\S]*--even-now/);
      expect(code).toBe(75);
    });
    expect((await station.kept()).runs).toBeGreaterThan(0);
  });

  it("looks for new versions by itself only where root can read them", async () => {
    const wrong = await install("--by-itself", "on", "--from", "/root/nowhere");
    expect(wrong.text).toContain("root cannot read /root/nowhere");
    expect(wrong.code).toBe(1);
    expect((await machine.inside("systemctl", "is-enabled", `${UPGRADE}.timer`)).code).not.toBe(0);
    const { code, text } = await install("--by-itself", "on", "--from", NEXT);
    expect(text).toContain("No key is set");
    expect(code).toBe(0);
    const next = await machine.doneInside("systemctl", "list-timers", "--no-legend", `${UPGRADE}.timer`);
    expect(next).toMatch(/^\w{3} \d{4}-\d\d-\d\d/);
  });

  it("is left alone by the timer while it is stopped, and where there is nothing new", async () => {
    await machine.doneInside("systemctl", "stop", "workshop-station");
    expect((await station.timerFires()).text).toContain("whoever stopped it decides");
    await machine.doneInside("systemctl", "start", "workshop-station");
    await station.isUp();
    expect((await station.timerFires()).text).toContain("Nothing newer");
    expect(await station.version()).toBe(first);
  });

  it("is upgraded when the timer fires, with a backup before", async () => {
    await publish(GOOD, "");
    // As an upgrade before has left its folder: npm cannot be asked here.
    await machine.doneInside(
      "bash",
      "-euc",
      `cd ${OPT}/source
       git checkout --quiet --force --detach HEAD
       cp -a ${COPY}/node_modules .
       touch node_modules/.package-lock.json`,
    );
    const before = await station.kept();
    const { result, text } = await station.timerFires();
    expect(text).toMatch(
      new RegExp(`Backup before the change: ${DATA}/before-upgrade/[\\s\\S]*v${GOOD} is in its place`),
    );
    expect(result).toBe("success");
    expect(await station.version()).toMatch(new RegExp(`^${GOOD}\\+`));
    const after = await station.kept();
    expect(after.sessions).toBe(before.sessions + 1);
    expect(after.runs).toBeGreaterThanOrEqual(before.runs);
    expect(readdirSync(machine.path(`${DATA}/before-upgrade`)).length).toBeGreaterThan(0);
  });

  it("goes back by hand, and the timer does not undo that", async () => {
    const said = await machine.doneInside("bash", `${OPT}/current/setup/service/back`);
    expect(said).toMatch(/The journal stays as it is[\s\S]* runs again\.[\s\S]*not put in again by itself/);
    expect(await station.version()).toBe(first);
    const { result, text } = await station.timerFires();
    expect(text).toContain(
      `Version ${GOOD} did not come up when it was tried, or was gone back from by hand`,
    );
    expect(result).toBe("success");
    expect(await station.version()).toBe(first);
  });

  it("goes back by itself from a version of the timer's that does not come up, and does not try it again", async () => {
    await publish(BROKEN, `sed -i '1i throw new Error("broken on purpose");' station/main.ts`);
    const before = await station.kept();
    const { result, text } = await station.timerFires();
    expect(text).toMatch(
      new RegExp(
        `${BROKEN}\\S* does not come up[\\s\\S]*broken on purpose[\\s\\S]*${escaped(first)} runs again`,
      ),
    );
    expect(result).toBe("exit-code");
    expect(await station.version()).toBe(first);
    expect(versionsKept().filter((name) => name.startsWith(BROKEN))).toEqual([]);
    const after = await station.kept();
    expect(after.runs).toBeGreaterThanOrEqual(before.runs);
    expect((await station.timerFires()).text).toContain(`Version ${BROKEN} did not come up`);
    // It was not even stopped.
    expect((await station.kept()).sessions).toBe(after.sessions);
  });

  it("is removed, and leaves what it kept, its configuration and the user who owns them", async () => {
    const before = await station.kept();
    const { code, text } = await bash(`exec bash ${OPT}/current/setup/remove`);
    expect(text).toContain(`kept: ${DATA}`);
    expect(code).toBe(0);
    expect(there([...SYSTEM_FILES, OPT])).toEqual([]);
    for (const unit of ["workshop-station.service", `${UPGRADE}.timer`]) {
      expect((await machine.inside("systemctl", "is-active", unit)).text.trim()).toBe("inactive");
      expect((await machine.inside("systemctl", "is-enabled", unit)).text).toMatch(/not-found/);
    }
    expect((await machine.inside("id", "workshop-station")).code).toBe(0);
    expect(readFileSync(machine.path(CONFIG), "utf8")).toContain("# as its owner wants it");

    expect((await install()).code).toBe(0);
    const after = await station.kept();
    expect(after.sessions).toBe(before.sessions + 1);
    expect(after.runs).toBeGreaterThanOrEqual(before.runs);
    expect(readFileSync(machine.path(CONFIG), "utf8")).toContain("# as its owner wants it");
    expect((await machine.inside("systemctl", "is-enabled", `${UPGRADE}.timer`)).code).not.toBe(0);
  });

  it("is purged only with the word for it, and then nothing of it is left", async () => {
    const purge = (word: string) => bash(`echo ${word} | bash ${COPY}/.setup/remove --purge`);
    const not = await purge("yes");
    expect(not.text).toContain("nothing was removed or deleted");
    expect(not.code).toBe(1);
    await station.isUp();
    const { code, text } = await purge("delete");
    expect(text).toContain(`Deleted: ${DATA}`);
    expect(code).toBe(0);
    expect(await remains(machine)).toEqual([]);
    for (const kind of ["passwd", "group"]) {
      expect((await machine.inside("getent", kind, "workshop-station")).code).not.toBe(0);
    }
  });
});

const escaped = (text: string) => text.replace(/[.+]/g, "\\$&");
