import { createHash } from "node:crypto";
import { setTimeout as pause } from "node:timers/promises";
import { openAccessStore } from "./access/store.js";
import { DISK_FILLING_DAYS } from "./alarms/definitions.js";
import type { Closing } from "./closing.js";
import type { StationConfig } from "./config.js";
import { AppError } from "./errors.js";
import { expectedBytesADay } from "./journal/disk/growth.js";
import { createDiskWatch } from "./journal/disk/watch.js";
import { openJournal } from "./journal/journal.js";
import { openReader } from "./journal/reader.js";
import { createSoundnessWatch } from "./journal/soundness/watch.js";
import type { Log } from "./log.js";
import type { Clock, Instant } from "./model/instant.js";
import { recall } from "./recall.js";

/** How long the start waits for the journal before it goes on without what that holds. */
const JOURNAL_WAIT_MS = 10_000;
/** And for the file of who may sign in: nothing hangs on that but who may do what. */
const ACCESS_WAIT_MS = 2_000;

export interface KeepingParts {
  readonly folder: string;
  readonly reserveBytes: number;
  readonly startedAt: Instant;
  readonly config: StationConfig;
  readonly clock: Clock;
  readonly log: Log;
  readonly closing: Closing;
  readonly simulated: boolean;
  /** Id of this start of the station. */
  readonly start: string;
  readonly version: string;
  readonly alarmIds: readonly string[];
}

/**
 * Opens all that lies on the disk: the journal's two sides, who may sign in, and what watches over them. `recalled` is null where the
 * journal has not answered in time, or cannot; `recalling` has it whenever it does.
 */
export async function openKeeping(parts: KeepingParts) {
  const { folder, reserveBytes, startedAt, config, clock, log, closing } = parts;
  const session = {
    start: parts.start,
    bootId: clock.bootId,
    at: startedAt,
    clock: clock.state(),
    version: parts.version,
    simulated: parts.simulated,
    configHash: createHash("sha256").update(JSON.stringify(config)).digest("hex"),
  };
  const journal = await openJournal({
    folder,
    session,
    onHealth: ({ writing, held, text }) => log(writing && !held ? "info" : "error", text),
    tuning: { reserveBytes },
  });
  const disk = createDiskWatch({
    folder,
    startedMono: startedAt.mono,
    expectedADay: expectedBytesADay(config.channels.map(({ expectedEveryS }) => expectedEveryS)),
    reserveBytes,
    leastDays: config.alarms.disk_filling_days ?? DISK_FILLING_DAYS,
  });
  const reader = await openReader({ folder });
  const people = openAccessStore({ folder, clock, log });
  closing.add("journal", () => journal.close());
  closing.add("journal's reading side", () => reader.close());
  const soundness = createSoundnessWatch({ folder, journal, now: () => clock.now(), log });
  closing.add("look through the journal", () => soundness.close());
  const recalling = journal.ready.then(() =>
    recall({
      journal,
      reader,
      bootId: clock.bootId,
      mono: startedAt.mono,
      definitions: config.channels,
      alarmIds: parts.alarmIds,
      missing: (part, error) => log("error", `the journal does not give ${part}`, { error: String(error) }),
    }),
  );
  const [recalled] = await Promise.all([
    Promise.race([recalling.catch(unlessDamaged), pause(JOURNAL_WAIT_MS, null)]),
    Promise.race([people.read, pause(ACCESS_WAIT_MS)]),
  ]);
  if (people.state() === "unread")
    log(
      "error",
      "the disk does not tell who may sign in: until it does nobody can, and the station listens on itself only",
    );
  return { journal, reader, people, disk, soundness, recalling, recalled, clockState: session.clock };
}

/** A damaged journal is left as it is and said so, and the bench is watched all the same; another station's ends this one. */
function unlessDamaged(error: unknown): null {
  if (error instanceof AppError && error.code === "journal-unusable") return null;
  throw error;
}
