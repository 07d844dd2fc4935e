import { execFileSync, spawnSync } from "node:child_process";
import { mkdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { expect, it } from "vitest";
import type { Me } from "../../station/model/access.js";
import type { NowSnapshot } from "../../station/model/now.js";
import { PASSPHRASES } from "./attack-rig.js";
import { STATION_COMMAND } from "./station-command.js";
import { eventually, startStation, temporaryFolder } from "./station-process.js";

it("the coolant and the alarms are watched while the disk does not tell who may sign in, and nobody changes anything", async () => {
  const { folder, remove } = temporaryFolder();
  const journal = join(folder, "journal");
  const file = join(journal, "access.json");
  mkdirSync(join(folder, "sys"), { recursive: true });
  const args = [STATION_COMMAND, "passphrase", "--journal", journal];
  expect(spawnSync(process.execPath, args, { cwd: folder, input: `${PASSPHRASES.owner}\n` }).status).toBe(0);
  const kept = readFileSync(file);
  rmSync(file);
  // Reading from a pipe that nobody writes to never returns, as from a disk that hangs.
  execFileSync("mkfifo", [file]);
  const config = {
    coolant_range: { low: 16, high: 21 },
    sources: [{ id: "probe", driver: "kernel-1-wire", device: "28-0000abcdef01", every_s: 1 }],
    channels: [{ id: "coolant-in", kind: "coolant-inlet", source: "probe", stale_after_s: 2 }],
  };
  const station = await startStation(folder, config, {
    more: ["--host", "127.0.0.2", "--sys-root", join(folder, "sys")],
  });
  const alarm = await eventually(
    async () => (await station.get<NowSnapshot>("/api/now")).alarms[0],
    "the alarm of the probe",
  );
  expect(alarm.state).toBe("unacknowledged");
  const me = () => station.get<Me>("/api/access/me");
  expect(await me()).toMatchObject({ state: "unread", here: true, role: "viewer" });
  const network = station.url.replace("127.0.0.1", "127.0.0.2");
  await expect(fetch(`${network}/api/access/me`)).rejects.toThrow();
  const refused = {
    status: 503,
    body: { code: "access-unread", detail: expect.stringContaining("The disk has not told yet") },
  };
  const first = { name: "Me", passphrase: PASSPHRASES.viewer };
  for (const [path, body] of [
    [`/api/alarms/${alarm.alarm}/acknowledge`, { by: "me" }],
    ["/api/runs", {}],
    ["/api/access/passphrase", first],
    ["/api/access/sign-in", { name: "Owner", passphrase: PASSPHRASES.owner }],
  ] as const)
    expect(await station.send("POST", path, body)).toMatchObject(refused);

  writeFileSync(file, kept);
  await eventually(async () => (await me()).state === "locked", "the file to be read");
  const answer = await eventually(
    () =>
      fetch(`${network}/api/access/sign-in`, {
        method: "POST",
        headers: { "content-type": "application/json" },
        body: JSON.stringify({ name: "Owner", passphrase: PASSPHRASES.owner }),
      }),
    "the network to be let in",
  );
  expect(answer.status).toBe(200);
  expect((await station.send("POST", "/api/runs", {})).status).toBe(403);
  expect(await station.stop()).toBe(0);
  // The session is kept over the pipe, whole.
  expect(JSON.parse(readFileSync(file, "utf8"))).toMatchObject({ sessions: [{ kind: "signed in" }] });
  remove();
});
