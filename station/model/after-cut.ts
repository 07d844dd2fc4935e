/** How the extraction clears the machine after the last cut. */
export interface RunOnView {
  /** `idle`: nothing was cut since the start. `clear`: as far as the station can tell. */
  readonly state: "idle" | "cutting" | "clearing" | "cut-short" | "clear";
  /** Seconds for which the extraction has still to run; 0 once it has, or where nothing was cut. */
  readonly leftS: number;
  /** One plain sentence. */
  readonly text: string;
  /** What was done too early in this run-on; null for nothing. */
  readonly early: string | null;
}

/** The watch for fire after stock that smoulders. */
export interface FireWatchView {
  readonly state: "none" | "cutting" | "watching";
  /** Seconds until the watch is over; 0 where it waits for its last look. */
  readonly leftS: number;
  /** Seconds until somebody has to look; negative once it is overdue. */
  readonly lookInS: number;
  /** Looks since the cut. */
  readonly looks: number;
  /** What was cut; empty where nobody said. */
  readonly material: string;
  /** One plain sentence. */
  readonly text: string;
  /** Nothing smoulders as far as anybody said, but something was cut lately: a watch may be begun by hand. */
  readonly offered: boolean;
}

export interface AfterCut {
  readonly runOn: RunOnView;
  readonly fireWatch: FireWatchView;
}
