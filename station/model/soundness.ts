/** What the station's own look through its journal has come to, as of the last one that was finished. */
export interface SoundnessView {
  /** `looking`: the first since the start is not over. `unknown`: it could not be done. */
  readonly state: "looking" | "sound" | "rollups" | "damaged" | "unknown";
  /** Wall milliseconds at which the last look was over; null before the first. */
  readonly lookedWall: number | null;
  /** For people: what was found, and what to do. */
  readonly text: string;
  /** What is to be said beside everything that is drawn or saved from the journal; null where it is sound. */
  readonly doubt: string | null;
}
