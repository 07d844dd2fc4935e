import { spawn, spawnSync } from "node:child_process";
import { once } from "node:events";
import { existsSync, readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { NowSnapshot } from "../../station/model/now.js";
import { buildIfMissing } from "../unit/journal/built.js";
import { eventually, temporaryFolder } from "./station-process.js";

const SCRIPTS = [
  ".ci/run",
  ...["install", "remove", "deb", "packages", "start", "test", "audit", "kernel"].map(
    (name) => `.setup/${name}`,
  ),
  ...["places", "account", "files", "switch", "signature", "back", "upgrade", "workshop-station"].map(
    (name) => `.setup/service/${name}`,
  ),
  ...["preinst", "postinst", "prerm", "postrm"].map((name) => `.setup/debian/${name}`),
];
const isHere = (name: string) => spawnSync("sh", ["-c", `command -v ${name}`]).status === 0;
const noShellcheck = !isHere("shellcheck");

describe.skipIf(noShellcheck)(
  `the set-up scripts${noShellcheck ? " (NOT RUN, not here: shellcheck)" : ""}`,
  () => {
    it("have nothing that shellcheck finds", () => {
      expect(spawnSync("shellcheck", ["-x", ...SCRIPTS], { encoding: "utf8" }).stdout).toBe("");
    });
  },
);

describe("what is laid out to be installed", () => {
  const { folder, remove } = temporaryFolder();
  const target = join(folder, "0.9.9");
  beforeAll(async () => {
    await buildIfMissing();
    const { status, stderr } = spawnSync(process.execPath, [".setup/service/lay-out.mjs", target, "0.9.9"], {
      encoding: "utf8",
    });
    if (status !== 0) throw new Error(stderr);
  }, 300_000);
  afterAll(remove);

  it("is a station that runs by itself, in the version that it was called", async () => {
    const main = join(target, ".build/station/main.js");
    // Elsewhere than in this repository, whose packages it would find.
    const child = spawn(process.execPath, [main, "--port", "0"], {
      cwd: folder,
      stdio: ["ignore", "pipe", "inherit"],
    });
    let said = "";
    child.stdout.on("data", (data: Buffer) => {
      said += data.toString();
    });
    try {
      const url = await eventually(() => /url=(http:\/\/\S+)/.exec(said)?.[1], "the station", 100_000);
      const now = (await (await fetch(`${url}/api/now`)).json()) as NowSnapshot;
      expect(now.simulated).toBe(true);
      expect(await (await fetch(`${url}/metrics`)).text()).toContain('station_info{version="0.9.9"');
      expect((await fetch(url)).status).toBe(200);
    } finally {
      const ended = once(child, "exit");
      child.kill("SIGTERM");
      await ended;
    }
  });

  it("has every package that the program names, each of which loads, and none that only its making needs", async () => {
    const { dependencies, devDependencies } = JSON.parse(readFileSync("package.json", "utf8")) as Record<
      string,
      Record<string, string>
    >;
    const names = Object.keys(dependencies ?? {});
    const script = `for (const name of ${JSON.stringify(names)}) await import(name);`;
    const loads = spawnSync(process.execPath, ["--input-type=module", "-e", script], {
      cwd: target,
      encoding: "utf8",
    });
    expect(loads.stderr).toBe("");
    const there = new Set(readdirSync(join(target, "node_modules")));
    const only = ["typescript", "vite", "vitest", "@biomejs", "@types", "playwright-core", "fast-check"];
    expect(only.filter((name) => there.has(name))).toEqual([]);
    expect(Object.keys(devDependencies ?? {})).toEqual(
      expect.arrayContaining(["typescript", "vite", "vitest"]),
    );
  });

  it("has no maps, types or sources of native modules, and what removes it and goes back", () => {
    const files = readdirSync(target, { recursive: true, encoding: "utf8" });
    expect(files.filter((name) => /\.(map|d\.ts|ts|cc|cpp|c|h|gyp)$/.test(name))).toEqual([]);
    for (const name of ["remove", "service/back", "service/upgrade", "service/workshop-station.service"]) {
      expect(existsSync(join(target, "setup", name))).toBe(true);
    }
  });
});

const lacking = ["git", "ssh-keygen"].filter((name) => !isHere(name));
const noGpg = !isHere("gpg");
const unsigned = lacking.length === 0 ? "" : ` (NOT RUN, not here: ${lacking.join(", ")})`;

describe.skipIf(lacking.length > 0)(`a version that comes by itself${unsigned}`, () => {
  const { folder, remove } = temporaryFolder();
  afterAll(remove);
  /** @throws with what it said */
  const sh = (script: string) => {
    const { status, stdout, stderr } = spawnSync("bash", ["-euc", script], { cwd: folder, encoding: "utf8" });
    if (status !== 0) throw new Error(stderr);
    return stdout;
  };
  const taken = (tag: string, key: string, repository = "source") => {
    const sourced = ["places", "signature"].map(
      (name) => `source ${join(process.cwd(), ".setup/service", name)}`,
    );
    const script = `${sourced.join("; ")}; SOURCE=$PWD/${repository}; UPGRADE_KEY=$PWD/${key}; verify_tag ${tag}`;
    return spawnSync("bash", ["-euc", script], { cwd: folder, encoding: "utf8" }).status === 0;
  };

  it("is taken only with a signature of the owner's key, made for its own name", () => {
    sh(`for key in owner other; do ssh-keygen -q -t ed25519 -N "" -C $key -f $key; done
        echo "owner@example.org $(cat owner.pub)" >allowed
        git init -q source; cd source
        g() { git -c user.name=Owner -c user.email=owner@example.org -c gpg.format=ssh "$@"; }
        g commit -q --allow-empty -m first
        g -c user.signingkey=../owner tag -s -m signed v1.0.0
        g tag -a -m unsigned v1.1.0
        g -c user.signingkey=../other tag -s -m "signed by somebody else" v1.2.0
        g update-ref refs/tags/v1.3.0 "$(g rev-parse refs/tags/v1.0.0)"
        g tag v1.4.0`);
    const tags = ["v1.0.0", "v1.1.0", "v1.2.0", "v1.3.0", "v1.4.0"];
    expect(tags.filter((tag) => taken(tag, "allowed"))).toEqual(["v1.0.0"]);
    // Without a key that the owner has set, all are: it is said when that is turned on.
    expect(tags.filter((tag) => taken(tag, "no-key"))).toEqual(tags);
  });

  it.skipIf(noGpg)(`the same by an OpenPGP key${noGpg ? " (NOT RUN, not here: gpg)" : ""}`, () => {
    sh(`export GNUPGHOME=$PWD/rings; mkdir -m 700 rings
        for name in owner other; do
          gpg --quiet --batch --passphrase "" --quick-generate-key "$name <$name@example.org>" ed25519 sign never
          gpg --quiet --batch --armor --export "$name@example.org" >$name.asc
        done
        git init -q by-pgp; cd by-pgp
        g() { git -c user.name=Owner -c user.email=owner@example.org -c gpg.format=openpgp "$@"; }
        g commit -q --allow-empty -m first
        g -c user.signingkey=owner@example.org tag -s -m signed v1.0.0
        g tag -a -m unsigned v1.1.0
        g -c user.signingkey=other@example.org tag -s -m "signed by somebody else" v1.2.0
        g update-ref refs/tags/v1.3.0 "$(g rev-parse refs/tags/v1.0.0)"
        gpgconf --kill all`);
    const tags = ["v1.0.0", "v1.1.0", "v1.2.0", "v1.3.0"];
    expect(tags.filter((tag) => taken(tag, "owner.asc", "by-pgp"))).toEqual(["v1.0.0"]);
    expect(tags.filter((tag) => taken(tag, "other.asc", "by-pgp"))).toEqual(["v1.2.0"]);
    // What is no key is none that anything is signed with.
    sh("printf -- '-----BEGIN PGP PUBLIC KEY BLOCK-----\\n' >broken.asc");
    expect(tags.filter((tag) => taken(tag, "broken.asc", "by-pgp"))).toEqual([]);
  });
});
