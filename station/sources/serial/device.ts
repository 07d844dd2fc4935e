import { constants } from "node:fs";
import { access, readdir } from "node:fs/promises";
import type { Clock } from "../../model/instant.js";
import type { Finding, RestartCause, Source, SourceSink, SourceStatus } from "../../model/source.js";
import { errnoOf, textOf } from "../errno.js";
import { Tally } from "../tally.js";
import type { SerialEntry } from "./entry.js";
import { BoardDecoder } from "./parse.js";
import { type PortFactory, serialPorts } from "./port.js";
import { BACK_OFF, type Supervision, type SupervisionTimes, shown } from "./supervision.js";
import { supervisePort } from "./supervisor.js";

export interface SerialDeps {
  readonly clock: Clock;
  readonly ports?: PortFactory;
  /** Times other than the usual ones, for a test that will not wait for them. */
  readonly times?: Partial<SupervisionTimes>;
  /** Where the system keeps the stable names of boards. */
  readonly byIdFolder?: string;
}

/** A microcontroller that sends frames of SenML; its points are the names of its records. */
export function createSerial(entry: SerialEntry, deps: SerialDeps): Source {
  const { clock, byIdFolder = "/dev/serial/by-id" } = deps;
  const decoder = new BoardDecoder();
  const tally = new Tally();
  let sink: SourceSink | null = null;
  let restart: { cause: RestartCause; mono: number; count: number } | null = null;

  const status = (): SourceStatus => ({
    source: entry.id,
    driver: entry.driver,
    ...shown(supervisor.now()),
    simulated: false,
    accepted: tally.accepted,
    dropped: tally.dropped,
    restart: restart && {
      cause: restart.cause,
      agoMs: clock.now().mono - restart.mono,
      count: restart.count,
    },
  });

  const data = (bytes: Uint8Array): boolean => {
    const at = clock.now();
    const { readings, frames, dropped, restarts } = decoder.push(bytes, at);
    for (const cause of restarts) restart = { cause, mono: at.mono, count: (restart?.count ?? 0) + 1 };
    for (let i = 0; i < frames; i += 1) tally.accept();
    for (const [why, count] of Object.entries(dropped)) tally.drop(why, count);
    for (const reading of readings) sink?.reading({ source: entry.id, ...reading });
    if (restarts.length > 0 || Object.keys(dropped).length > 0) sink?.status(status());
    return frames > 0;
  };

  const changed = (from: Supervision, to: Supervision) => {
    const before = shown(from);
    const after = shown(to);
    // Every turn for the worse, and every try in vain, marks the points anew: the last value must not stand.
    if (to.state !== from.state && (to.state === "silent" || to.state === "backing-off")) {
      const at = clock.now();
      for (const point of decoder.points) {
        sink?.reading({ source: entry.id, point, at, fault: to.trouble.reason });
      }
    }
    if (before.state !== after.state || before.reason !== after.reason || before.detail !== after.detail) {
      sink?.status(status());
    }
  };

  const supervisor = supervisePort({
    path: entry.path,
    clock,
    times: { ...BACK_OFF, silentAfterMs: entry.silent_after_s * 1000, ...deps.times },
    ports: deps.ports ?? serialPorts(entry.path, entry.baud),
    opened: () => decoder.reset(),
    data,
    changed,
  });

  return {
    id: entry.id,
    start(to) {
      if (sink !== null) return;
      sink = to;
      supervisor.start();
    },
    async stop() {
      await supervisor.stop();
      sink = null;
    },
    status,
    check: async () => [await checkPort(entry, byIdFolder)],
  };
}

async function checkPort({ id, path }: SerialEntry, byIdFolder: string): Promise<Finding> {
  const subject = `${id} (serial port ${path})`;
  const names = await readdir(byIdFolder).catch((): string[] => []);
  const stable = names.sort().map((name) => `${byIdFolder}/${name}`);
  const have =
    stable.length === 0
      ? "no board has a stable name now"
      : `the boards plugged in now: ${stable.join(", ")}`;
  try {
    await access(path, constants.R_OK | constants.W_OK);
  } catch (error) {
    if (errnoOf(error) === "EACCES") {
      const mend = "sudo usermod -aG dialout USER for the station's user, then sign in again";
      return { subject, ok: false, found: "the station's user may not open it", mend };
    }
    if (errnoOf(error) === "ENOENT") {
      return {
        subject,
        ok: false,
        found: `it is not there; ${have}`,
        mend: "plug the board in, or correct path in station.yaml",
      };
    }
    return { subject, ok: false, found: textOf(error), mend: "check the board and its cable" };
  }
  if (/\/tty(USB|ACM)\d+$/.test(path)) {
    const found = `it is there, but another board may get this name after a restart; ${have}`;
    return { subject, ok: true, found, mend: "" };
  }
  return { subject, ok: true, found: "it is there and may be opened", mend: "" };
}
