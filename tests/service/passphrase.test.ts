import { spawnSync } from "node:child_process";
import { chmodSync, readFileSync, statSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { afterAll, describe, expect, it } from "vitest";
import { PASSPHRASES } from "./attack-rig.js";
import { STATION_COMMAND, station } from "./station-command.js";
import { startStation, temporaryFolder } from "./station-process.js";

describe("the verb passphrase", () => {
  const { folder, remove } = temporaryFolder();
  const journal = join(folder, "journal");
  afterAll(remove);
  const give = (typed: string, ...more: string[]) => {
    const args = [STATION_COMMAND, "passphrase", "--journal", journal, ...more];
    return spawnSync(process.execPath, args, { cwd: folder, encoding: "utf8", input: typed });
  };
  const signIn = (url: string, passphrase: string) =>
    fetch(`${url}/api/access/sign-in`, {
      method: "POST",
      headers: { "content-type": "application/json" },
      body: JSON.stringify({ name: "Owner", passphrase }),
    });

  it("locks the door of a station that has no screen, and the network is let in from its start on", async () => {
    expect(give("short\n")).toMatchObject({
      status: 1,
      stderr: expect.stringContaining("at least 15 characters"),
    });
    const given = give(`${PASSPHRASES.owner}\n`);
    expect(given).toMatchObject({ status: 0, stderr: "" });
    expect(given.stdout).not.toContain(PASSPHRASES.owner);
    expect(statSync(join(journal, "access.json")).mode & 0o777).toBe(0o600);
    const running = await startStation(folder, null, { more: ["--host", "127.0.0.2"] });
    const network = running.url.replace("127.0.0.1", "127.0.0.2");
    expect((await fetch(`${network}/api/now`)).status).toBe(401);
    expect((await signIn(network, PASSPHRASES.owner)).status).toBe(200);
    // What the running station has in hand is not changed behind its back.
    expect(give(`${PASSPHRASES.operator}\n`)).toMatchObject({
      status: 1,
      stderr: expect.stringContaining("in use"),
    });
    await running.stop();
  });

  it("gives a new one where the old one is lost, and the file is damaged", async () => {
    const file = join(journal, "access.json");
    const cookie = await signedInBefore();
    expect(give(`${PASSPHRASES.viewer}\n`, "--name", "owner").status).toBe(0);
    const running = await startStation(folder, null);
    expect((await signIn(running.url, PASSPHRASES.owner)).status).toBe(403);
    expect((await signIn(running.url, PASSPHRASES.viewer)).status).toBe(200);
    const me = await fetch(`${running.url}/api/access/me`, { headers: { cookie } });
    expect(await me.json()).toMatchObject({ role: "viewer", who: null });
    await running.stop();
    writeFileSync(file, readFileSync(file, "utf8").slice(10));
    expect(give(`${PASSPHRASES.owner}\n`).status).toBe(0);
    const again = await startStation(folder, null);
    expect((await signIn(again.url, PASSPHRASES.owner)).status).toBe(200);
    await again.stop();
  });

  async function signedInBefore(): Promise<string> {
    const running = await startStation(folder, null);
    const answer = await signIn(running.url, PASSPHRASES.owner);
    await running.stop();
    return (answer.headers.get("set-cookie") ?? "").split(";")[0] ?? "";
  }

  it("and check: others who can read the files are told of, and a host that waits for a passphrase", () => {
    const config = join(folder, "open.yaml");
    const yaml = readFileSync("firmware-notes/station.example.yaml", "utf8").replace(
      "host: 127.0.0.1",
      "host: 0.0.0.0",
    );
    writeFileSync(config, yaml.replace(/^journal:[\s\S]*?^(?=\w)/m, ""));
    const empty = station(folder, "check", "--config", config);
    expect(empty.stdout).toContain("no passphrase is set: the station listens on itself only");
    expect(empty.stdout).toContain("0.0.0.0 under web is not listened to yet");
    chmodSync(join(journal, "access.json"), 0o644);
    writeFileSync(
      config,
      `${yaml.replace(/^journal:[\s\S]*?^(?=\w)/m, "")}\njournal: { folder: ${journal} }\n`,
    );
    const told = station(folder, "check", "--config", config);
    expect(told.stdout).toContain(`chmod 600 ${join(journal, "access.json")}`);
    expect(told.stdout).toContain("one person can sign in");
  });
});
