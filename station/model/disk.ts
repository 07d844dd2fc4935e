/** The disk of the journal, as it was last looked at. Bytes are those of the file system, free ones those free to the station. */
export interface DiskView {
  /** Null, as what follows, until it could be looked at. */
  readonly freeBytes: number | null;
  readonly totalBytes: number | null;
  /** Of the journal with its WAL. */
  readonly journalBytes: number | null;
  /** By how much the journal is reckoned to grow in a day. */
  readonly bytesADay: number | null;
  /** Until readings are held for want of room, at that rate; null where it is not known. */
  readonly daysLeft: number | null;
  /** Fewer days are left than are asked for. */
  readonly fewDays: boolean;
  /** Why it could not be looked at; null where it could. */
  readonly trouble: string | null;
  /** One plain sentence. */
  readonly text: string;
}

/** Never more than there is: rounded down. */
export function bytesText(bytes: number): string {
  if (bytes >= 1e9) return `${(Math.floor(bytes / 1e8) / 10).toFixed(1)} GB`;
  return bytes >= 1e6 ? `${Math.floor(bytes / 1e6)} MB` : `${Math.floor(bytes / 1e3)} kB`;
}
