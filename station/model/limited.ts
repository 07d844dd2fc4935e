/** A figure with its limits; null for what is not known or has none. */
export interface Limited {
  readonly estimate: number | null;
  readonly lower: number | null;
  readonly upper: number | null;
}
