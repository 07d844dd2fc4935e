import { mkdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { eventually } from "../service/station-process.js";
import { type FreshDebian, run } from "./fresh-debian.js";

export const DATA = "/var/lib/workshop-station";
export const UPGRADE = "workshop-station-upgrade";
export const CONFIG = "/etc/workshop-station/station.yaml";

/** The timer as it is, but for the hours that it waits. */
const AT_ONCE = "[Timer]\nOnCalendar=\nOnActiveSec=1s\nRandomizedDelaySec=0\nAccuracySec=1s\nPersistent=no\n";

/** A station that is no simulated bench: a probe that nobody has plugged in, which keeps no run from being begun. */
const REAL = `
station: { name: Back shed }
coolant_range: { low: 15, high: 22 }
sources:
  - { id: water-probe, driver: kernel-1-wire, device: 28-000000005a01, every_s: 2 }
channels:
  - { id: coolant-in, name: Coolant into the tube, kind: coolant-inlet, source: water-probe, resolution: 0.0625, expected_every_s: 2 }
`;

interface Kept {
  /** Starts of the station. */
  readonly sessions: number;
  /** The simulated bench cuts by itself now and then. */
  readonly runs: number;
}

/** The station that is installed on a machine, by its own command and at its own door. */
export class InstalledStation {
  readonly #machine: FreshDebian;

  constructor(machine: FreshDebian) {
    this.#machine = machine;
  }

  async #verb<T>(...args: string[]): Promise<T> {
    return JSON.parse(await this.#machine.doneInside("workshop-station", ...args, "--json")) as T;
  }

  async isUp(): Promise<void> {
    await this.#machine.doneInside("workshop-station", "status", "--within", "200");
  }

  async version(): Promise<string> {
    return (await this.#verb<{ version: string }>("status")).version;
  }

  async schema(): Promise<number> {
    return (await this.#verb<{ schema: number }>("schema")).schema;
  }

  /** What the journal holds, by a copy that is made of it, opened and checked. */
  async kept(): Promise<Kept> {
    const folder = `${DATA}/looked-at`;
    await this.#machine.doneInside("runuser", "-u", "workshop-station", "--", "mkdir", "-p", folder);
    const made = await this.#verb<{ contents: Kept }>("backup", "--to", folder);
    const { sessions, runs } = made.contents;
    return { sessions, runs };
  }

  /** What it answers at its own door, to whoever is at the station. @throws with what it said, where that is a refusal */
  async ask<T>(path: string, method = "GET"): Promise<T> {
    const script = `
      const r = await fetch("http://127.0.0.1:8080${path}", { method: "${method}" });
      console.log(await r.text());
      process.exit(r.ok ? 0 : 1);`;
    return JSON.parse(await this.#machine.doneInside("node", "--input-type=module", "-e", script)) as T;
  }

  /** Begins a run, as soon as none is open. @returns its id */
  beginRun(): Promise<string> {
    const begin = async () => (await this.ask<{ id: string }>("/api/runs", "POST")).id;
    return eventually(begin, "a run to begin", 200_000);
  }

  async endRun(id: string): Promise<void> {
    await this.ask(`/api/runs/${id}/end`, "POST");
  }

  /** Has the timer fire, and waits until the upgrade that it begins has ended. @returns how that ended, and what it said */
  async timerFires(): Promise<{ result: string; text: string }> {
    const folder = this.#machine.path(`/etc/systemd/system/${UPGRADE}.timer.d`);
    mkdirSync(folder, { recursive: true });
    writeFileSync(join(folder, "at-once.conf"), AT_ONCE);
    const { text } = await this.#machine.inside(
      "bash",
      "-c",
      `of() { systemctl show -p "$1" --value ${UPGRADE}.service; }
       before=$(of InvocationID)
       systemctl daemon-reload
       systemctl restart ${UPGRADE}.timer
       until [ "$(of InvocationID)" != "$before" ] && [ "$(of ActiveState)" != activating ]; do sleep 1; done
       of Result
       journalctl --quiet --output=cat _SYSTEMD_INVOCATION_ID="$(of InvocationID)"`,
    );
    const [result = "", ...said] = text.split("\n");
    return { result, text: said.join("\n") };
  }

  /** While `act` is carried out a run is open on a station with sensors; then it is what it was. */
  async whileCutting(act: () => Promise<void>): Promise<void> {
    const file = this.#machine.path(CONFIG);
    await this.#machine.doneInside("cp", "-p", CONFIG, "/root/station.yaml.kept");
    writeFileSync(file, REAL);
    await this.#machine.doneInside("systemctl", "restart", "workshop-station");
    await this.isUp();
    const run = await this.beginRun();
    await act();
    await this.endRun(run);
    await this.#machine.doneInside("mv", "/root/station.yaml.kept", CONFIG);
    await this.#machine.doneInside("systemctl", "restart", "workshop-station");
    await this.isUp();
  }
}

/** Whatever bears its name on a machine, but for logs, what dpkg and apt note, and what a test has put into /root and /srv. */
export async function remains(machine: FreshDebian): Promise<string[]> {
  const found = await run(["find", machine.root, "-xdev", "-name", "*workshop-station*"]);
  const notes = /^\/(root|srv|var\/log|var\/cache|var\/lib\/(apt|dpkg)|run|proc|sys|tmp)\//;
  return found.text
    .split("\n")
    .map((path) => path.slice(machine.root.length))
    .filter((path) => path !== "" && !notes.test(path));
}
