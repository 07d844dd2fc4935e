import { setTimeout as pause } from "node:timers/promises";
import type { Finding, SourceStatus } from "../../station/model/source.js";
import { eventually } from "../service/station-process.js";
import { BOOT_LIMIT_MS, type Guest, PATIENCE_MS } from "./guest.js";

const PROGRAM = "drivers";
const SCRIPT = "/project/tests/kernel/bench/drivers.mjs";
const FILE = "/tmp/drivers.json";
/** Each look takes a guest as long as some readings do. */
const LOOK_EVERY_MS = 1000;

/** What a driver told last of a point: its value, or why there is none. */
export interface Told {
  /** Monotonic milliseconds of the guest. */
  readonly mono: number;
  /** Of the first in a row that said the same. */
  readonly since: number;
  /** The last values, oldest first. */
  readonly values: readonly number[];
  readonly value?: number;
  readonly fault?: string;
}

interface Now {
  readonly told: Readonly<Record<string, Told>>;
  readonly statuses: readonly SourceStatus[];
  readonly output: "active" | "inactive" | "faulty" | null;
}

export interface DriverEntries {
  readonly sources: readonly object[];
  readonly output?: object;
}

/** The built drivers in a guest, see `bench/drivers.mjs`; nothing is read before `begin`. */
export class GuestDrivers {
  private constructor(
    readonly guest: Guest,
    readonly url: string,
  ) {}

  /** @param sysRoot where the kernel shows its devices */
  static async load(guest: Guest, entries: DriverEntries, sysRoot = "/sys"): Promise<GuestDrivers> {
    await guest.write(FILE, JSON.stringify(entries));
    // As `npm start` sets it: a read that hangs in the kernel holds one.
    await guest.start(PROGRAM, ["node", SCRIPT, FILE, sysRoot], { env: { UV_THREADPOOL_SIZE: "16" } });
    const url = await listening(guest, PROGRAM);
    return new GuestDrivers(guest, url);
  }

  async #ask<T>(what: string): Promise<T> {
    const { status, text } = await this.guest.ask(`${this.url}${what}`);
    if (status !== 200) throw new Error(`${what}: ${status} ${text}`);
    return JSON.parse(text) as T;
  }

  begin(): Promise<null> {
    return this.#ask("/start");
  }

  now(): Promise<Now> {
    return this.#ask("/now");
  }

  async source(id: string): Promise<SourceStatus> {
    const found = (await this.now()).statuses.find(({ source }) => source === id);
    if (found === undefined) throw new Error(`there is no source ${id}`);
    return found;
  }

  /** Waits until a point, such as "lid-switch state", has this value, or this reason for having none. */
  sees(point: string, what: number | string): Promise<Told> {
    const is = ({ value, fault }: Told) => (typeof what === "number" ? value : fault) === what;
    return this.#seen(point, is, `be ${what}`);
  }

  /** Waits until a point is within `by` of this. */
  seesAbout(point: string, about: number, by: number): Promise<Told> {
    const is = ({ value }: Told) => value !== undefined && Math.abs(value - about) <= by;
    return this.#seen(point, is, `be ${about} ± ${by}`);
  }

  #seen(point: string, is: (told: Told) => boolean, what: string): Promise<Told> {
    return seen(async () => (await this.now()).told[point], is, `${point} to ${what}`);
  }

  /** Switches the output. */
  async put(on: boolean): Promise<void> {
    await this.#ask(on ? "/on" : "/off");
    await patiently(async () => (await this.now()).output === (on ? "active" : "inactive"), "the output");
  }

  /** What each finds, by the id that the finding begins with. */
  async check(): Promise<(id: string) => Finding | undefined> {
    const findings = await this.#ask<readonly Finding[]>("/check");
    return (id) => findings.find(({ subject }) => subject.startsWith(id));
  }

  signal(signal: NodeJS.Signals): Promise<void> {
    return this.guest.signal(PROGRAM, signal);
  }

  /** Whether SIGSTOP has reached it. */
  async standsStill(): Promise<boolean> {
    const { out } = await this.guest.run(`cat "/proc/$(pgrep -f "node ${SCRIPT}" | head -1)/status"`);
    return /^State:\s+T/m.test(out);
  }

  /** Ends it, and waits until it is gone: SIGKILL, or SIGTERM as a stop of the service is. */
  async end(signal: "SIGKILL" | "SIGTERM"): Promise<void> {
    await this.signal(signal);
    await patiently(async () => (await this.guest.program(PROGRAM)).ended, "the drivers to end");
  }
}

/** Waits until a program that was started prints the address at which it listens. @returns it */
export async function listening(guest: Guest, name: string): Promise<string> {
  let output = "";
  const look = async () => {
    const program = await guest.program(name);
    output = program.output;
    return program.ended === null ? /url=(http:\/\/\S+)/.exec(output)?.[1] : "";
  };
  const url = await patiently(look, "it to listen", BOOT_LIMIT_MS).catch(() => "");
  if (url === "") throw new Error(`${name} does not listen in the guest:\n${output}`);
  return url;
}

/** Waits until what is looked at is as wanted. Rejects with how it was last. */
export async function seen<T>(
  look: () => Promise<T | undefined>,
  is: (found: T) => boolean,
  what: string,
): Promise<T> {
  let last: T | undefined;
  try {
    return (await patiently(async () => {
      last = await look();
      return last !== undefined && is(last) ? last : null;
    }, what)) as T;
  } catch (error) {
    throw new Error(`${error}; it was ${JSON.stringify(last)}`);
  }
}

/** As `eventually`, at the pace of a guest. */
export function patiently<T>(
  look: () => Promise<T> | T,
  what: string,
  withinMs = PATIENCE_MS,
): Promise<NonNullable<T>> {
  let first = true;
  const paced = async () => {
    if (!first) await pause(LOOK_EVERY_MS);
    first = false;
    return look();
  };
  return eventually(paced, what, withinMs);
}
