import { RESERVE_BYTES } from "./disk/room.js";

/** All in milliseconds, readings, actions or bytes. */
export interface JournalTuning {
  /** A reading waits at most this long for others before it is sent to be committed. */
  readonly commitEveryMs: number;
  readonly parcelReadings: number;
  readonly mostReadings: number;
  /** Actions held at most; beyond, all but the beginnings and ends of runs are refused. */
  readonly mostActions: number;
  /** How long SQLite waits for another program's lock before the commit counts as failed and is tried again. */
  readonly busyTimeoutMs: number;
  /** First pause after a failed commit or an ended thread; doubled up to 10 s and 30 s. */
  readonly retryMs: number;
  /** First pause after a failed opening; doubled up to 30 s. */
  readonly reopenMs: number;
  /** How often it is looked whether there are readings old enough to be sealed. */
  readonly sealEveryMs: number;
  /** How often the writing thread looks at its files, the WAL and the room on the disk. */
  readonly lookEveryMs: number;
  /** Bytes of the disk that readings leave free. */
  readonly reserveBytes: number;
  /** How long `close` waits for what is held to be committed. */
  readonly closeWithinMs: number;
}

export const TUNING: JournalTuning = {
  commitEveryMs: 2000,
  parcelReadings: 2000,
  mostReadings: 600_000,
  mostActions: 20_000,
  busyTimeoutMs: 5000,
  retryMs: 500,
  reopenMs: 1000,
  sealEveryMs: 30_000,
  lookEveryMs: 5_000,
  reserveBytes: RESERVE_BYTES,
  closeWithinMs: 10_000,
};
