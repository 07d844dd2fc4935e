/** Something that is not as it should be. */
export interface Found {
  /** `readings`: lost, and only a backup has them. `rollups`: can be made anew from the readings. */
  readonly what: "readings" | "rollups";
  /** What and of when, without saying what is wrong with it. */
  readonly words: string;
  readonly mended: boolean;
}

export interface Step {
  readonly done: number;
  readonly of: number;
  readonly found: readonly Found[];
}

/** A part of the journal that is looked through a step at a time, each inside a transaction of the caller's. */
export interface Part {
  /** Null at the end. */
  step(): Step | null;
}
