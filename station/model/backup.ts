/** A backup that is there under its own name: it was opened and checked before it got it, and holds what the journal did. */
export interface Backup {
  readonly file: string;
  /** When it was made, by the wall clock. */
  readonly wall: number;
  readonly bytes: number;
}

/** What the rule of keeping holds a backup for: as the newest of its day, week or month. */
export type Generation = "day" | "week" | "month";

export interface KeptBackup extends Backup {
  readonly generations: readonly Generation[];
}

/** As of the last look into the folder for backups. */
export interface BackupsState {
  /** False before the first look, and where none are set up. */
  readonly looked: boolean;
  /** Wall time of the last good one; null without any. */
  readonly lastGoodWall: number | null;
  /** What kept the last attempt, or the look into the folder, from success, or was damaged in the journal; null where nothing. */
  readonly trouble: string | null;
}

/** What is known of the backups of a station. */
export interface BackupsView {
  /** Null: the configuration sets none up. */
  readonly folder: string | null;
  /** Time of day at which one is due, "03:30" by the station's local time; null where none is set up. */
  readonly at: string | null;
  /** Wall time of the last good one; null without any. */
  readonly lastGoodWall: number | null;
  /** Wall time at which the next is due; null where none is set up. May have passed: then it is made within minutes. */
  readonly nextWall: number | null;
  /** Newest first. */
  readonly backups: readonly KeptBackup[];
  readonly running: boolean;
  /** What kept the last attempt, or the look into the folder, from success, or was damaged in the journal; null where nothing. */
  readonly trouble: string | null;
}
