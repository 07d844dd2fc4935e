import type { DiskView } from "./disk.js";
import type { SoundnessView } from "./soundness.js";

/** Where the journal is, what room there is for it, and whether it is sound. */
export interface JournalView {
  /** Path of its file on the station. */
  readonly file: string;
  readonly disk: DiskView;
  readonly soundness: SoundnessView;
}
