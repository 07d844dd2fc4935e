/** A backup that is there under its own name: it was opened and checked before it got it. */
export interface Backup {
  readonly file: string;
  /** When it was made, by the wall clock. */
  readonly wall: number;
  readonly bytes: number;
}

/** What is known of the backups of a station. */
export interface BackupsView {
  /** Null: the configuration sets none up. */
  readonly folder: string | null;
  /** Time of day at which one is due, "03:30" by the station's local time; null where none is set up. */
  readonly at: string | null;
  /** Wall time of the last good one; null without any. */
  readonly lastGoodWall: number | null;
  /** Newest first. */
  readonly backups: readonly Backup[];
  readonly running: boolean;
  /** What kept the last attempt, or the look into the folder, from success; null where nothing did. */
  readonly trouble: string | null;
}
