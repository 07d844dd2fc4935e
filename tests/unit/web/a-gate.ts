import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { type Access, createAccess } from "../../../station/access/access.js";
import type { NewDeed } from "../../../station/access/deeds.js";
import type { Hashing } from "../../../station/access/hashing.js";
import { openAccessStore } from "../../../station/access/store.js";
import type { Log } from "../../../station/log.js";
import type { ClockState, Instant } from "../../../station/model/instant.js";
import type { Gate } from "../../../station/web/gate.js";
import { createOriginOf } from "../../../station/web/origin-of.js";
import { createOwnNames } from "../../../station/web/own-names.js";
import { createRates } from "../../../station/web/rates.js";

/** Time stands still until a test moves it. */
export class HeldClock {
  at: Instant = { wall: 1_700_000_000_000, mono: 5_000_000 };
  bootId = "boot-1";
  known: ClockState = "synchronised";
  now = () => this.at;
  state = () => this.known;
  pass(ms: number): void {
    this.at = { wall: this.at.wall + ms, mono: this.at.mono + ms };
  }
}

/** As quick as it gets, for what is not about hashing: what is kept is not what was typed. */
export const quickHashing = (): Hashing => {
  let count = 0;
  const of = (secret: string) => `$argon2id$quick$${Buffer.from(secret.normalize("NFKC")).toString("hex")}`;
  return {
    make: async (secret) => of(secret),
    async fits(hashed, secret) {
      count += 1;
      return hashed === of(secret);
    },
    count: () => count,
  };
};

export interface GateRig {
  readonly gate: Gate;
  readonly access: Access;
  readonly clock: HeldClock;
  readonly folder: string;
  readonly deeds: NewDeed[];
  readonly ended: string[];
  readonly logged: string[];
  /** The station is stopped. */
  stop(): Promise<void>;
  /** It is started again. */
  again(): Promise<Access>;
  remove(): Promise<void>;
}

/** The door of a station that has just been set up: no passphrase yet. */
export async function aGate(hashing: Hashing = quickHashing()): Promise<GateRig> {
  const folder = mkdtempSync(join(tmpdir(), "access-"));
  const clock = new HeldClock();
  const deeds: NewDeed[] = [];
  const ended: string[] = [];
  const logged: string[] = [];
  const tell = (deed: NewDeed) => void deeds.push(deed);
  const log: Log = (level, message, facts) =>
    void logged.push(`${level} ${message} ${JSON.stringify(facts ?? {})}`);
  const open = async () => {
    const store = openAccessStore({ folder, clock, log });
    await store.read;
    return createAccess({
      ...{ store, clock, tell, hashing, log },
      stationName: "A station",
      ended: (ids) => void ended.push(...ids),
      locked: async () => undefined,
      network: () => ({ addresses: ["http://station.local:8080"], text: "Open." }),
    });
  };
  const access = await open();
  const opened = [access];
  const stop = async () => {
    for (const each of opened.splice(0)) await each.close();
  };
  const mono = () => clock.at.mono;
  const [names, rates, originOf] = [createOwnNames([], mono), createRates(1000, 1000), createOriginOf(false)];
  const gate = { ...{ access, names, rates, originOf, tell, mono } };
  return {
    ...{ gate, access, clock, folder, deeds, ended, logged },
    stop,
    async again() {
      await stop();
      const next = await open();
      opened.push(next);
      return next;
    },
    async remove() {
      await stop();
      rmSync(folder, { recursive: true, force: true });
    },
  };
}
