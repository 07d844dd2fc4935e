/** How full the extraction's filter is, and when it is due. */
export interface FilterView {
  readonly state: "cannot-tell" | "not-loading" | "forecast" | "due";
  /** Drop at the fan's usual speed on the last day that counts, and the one at which it is changed, Pa. */
  readonly nowPa: number | null;
  readonly finalPa: number;
  /** Days that it rests on. */
  readonly days: number;
  /** Wall milliseconds; `latest` null where it may be later than a year, or never. */
  readonly likely: number | null;
  readonly soonest: number | null;
  readonly latest: number | null;
  readonly text: string;
}
