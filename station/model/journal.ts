import type { DiskView } from "./disk.js";

/** Where the journal is, and what room there is for it. */
export interface JournalView {
  /** Path of its file on the station. */
  readonly file: string;
  readonly disk: DiskView;
}
