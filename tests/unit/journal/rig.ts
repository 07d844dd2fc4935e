import { afterEach, beforeAll, beforeEach } from "vitest";
import { AppError } from "../../../station/errors.js";
import {
  type Journal,
  type JournalHealth,
  type JournalOptions,
  openJournal,
} from "../../../station/journal/journal.js";
import { type JournalReader, openReader } from "../../../station/journal/reader.js";
import type { JournalTuning } from "../../../station/journal/tuning.js";
import type { Reading } from "../../../station/model/reading.js";
import { buildIfMissing, READER_URL, WRITER_URL } from "./built.js";
import { emptyFolder, reading, sessionStart } from "./samples.js";

/** Short pauses, so that what is waited for comes soon; no test depends on how long they are. */
export const quick: Partial<JournalTuning> = {
  commitEveryMs: 5,
  parcelReadings: 40,
  busyTimeoutMs: 20,
  retryMs: 1,
  reopenMs: 1,
};

export interface JournalRig {
  /** The folder of the test that runs. */
  readonly folder: string;
  /** Opens a journal there, and does not wait for it. */
  open(options?: Partial<JournalOptions>): Journal;
  /** The same, and waits. */
  opened(options?: Partial<JournalOptions>): Promise<Journal>;
  reader(workerUrl?: URL): JournalReader;
  /** Every reading there is of boot-1, as a reader gives them. */
  kept(): Promise<Reading[]>;
}

/** The journal on its real threads, in a folder of its own for each test of the file; all is closed after each. */
export function journalRig(): JournalRig {
  let folder = "";
  let cleaning: (() => unknown)[] = [];
  beforeAll(buildIfMissing);
  beforeEach(() => {
    const made = emptyFolder();
    folder = made.folder;
    cleaning = [made.remove];
  });
  afterEach(async () => {
    for (const clean of cleaning.reverse()) await clean();
  });

  function open(options: Partial<JournalOptions> = {}): Journal {
    const defaults = { folder, session: sessionStart(), workerUrl: WRITER_URL, tuning: quick };
    const journal = openJournal({ ...defaults, ...options });
    cleaning.push(() => journal.close());
    return journal;
  }

  function reader(workerUrl = READER_URL): JournalReader {
    const asking = openReader({ folder, workerUrl });
    cleaning.push(() => asking.close());
    return asking;
  }

  return {
    get folder() {
      return folder;
    },
    open,
    async opened(options) {
      const journal = open(options);
      await journal.ready;
      return journal;
    },
    reader,
    async kept() {
      const all: Reading[] = [];
      const window = { bootId: "boot-1", fromMono: 0, toMono: Number.MAX_SAFE_INTEGER };
      for await (const block of reader().readingsForReplay(window)) all.push(...block);
      return all;
    },
  };
}

/** Health events, and a promise of the next one that is of a kind or says this. */
export function healthEvents() {
  const seen: JournalHealth[] = [];
  let looking: { is: (health: JournalHealth) => boolean; found: (health: JournalHealth) => void } | null =
    null;
  return {
    seen,
    onHealth(health: JournalHealth) {
      seen.push(health);
      if (looking?.is(health) === true) looking.found(health);
    },
    next(wanted: boolean | string): Promise<JournalHealth> {
      const is = ({ writing, text }: JournalHealth) =>
        typeof wanted === "boolean" ? writing === wanted : text.includes(wanted);
      return new Promise((found) => {
        looking = { is, found };
      });
    },
  };
}

/** Readings in turn of three channels, a millisecond apart, each with its place as its value. */
export function many(from: number, count: number): Reading[] {
  return Array.from({ length: count }, (_, i) => reading(`c${(from + i) % 3}`, from + i, from + i));
}

/** Why something was refused, by its code. */
export function codeOf(promise: Promise<unknown>): Promise<string> {
  return promise.then(
    () => "no error",
    (error: unknown) => (error instanceof AppError ? error.code : String(error)),
  );
}
