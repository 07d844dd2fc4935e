/** Whether the coolant stays in its range for a job. */
export type JobVerdict = "likely-stays" | "may-leave" | "will-leave" | "outside" | "cannot-tell";

/** What the station expects of the coolant for a job that begins now. An advice, not a permission. */
export interface JobForecast {
  readonly minutes: number;
  readonly verdict: JobVerdict;
  /** Probability that the coolant leaves its range within the job, 0 to 1; null where it cannot be told. */
  readonly leaves: number | null;
  /** At the end of the job, °C, with limits that should hold nine times in ten; null where it cannot be told. */
  readonly value: number | null;
  readonly low: number | null;
  readonly high: number | null;
  /** A plain sentence, and what it rests on. */
  readonly sentence: string;
  readonly because: string;
}

/** How far off forecasts of one kind were. */
export interface ForecastErrors {
  /** Half of them were nearer than this, °C. */
  readonly median: number;
  /** Root mean square, °C. */
  readonly rms: number;
}

/** How good the forecasts of the days before were, at one distance ahead. */
export interface ForecastScore {
  readonly minutes: number;
  /** Forecasts that were held against what came. */
  readonly n: number;
  readonly own: ForecastErrors;
  /** "Stays as it is", and "goes on in a line" through its last five minutes. */
  readonly stays: ForecastErrors;
  readonly line: ForecastErrors;
  /** Share of its limits that held what came, 0 to 1, and their mean width, °C. */
  readonly held: number;
  readonly width: number;
  /** Of the times it said that the coolant would likely stay in its range: how many there were, and in how many it left. */
  readonly saidStays: number;
  readonly leftAfterAll: number;
  /** Of the times it said that it may or will leave. */
  readonly saidLeaves: number;
  readonly leftAsSaid: number;
}

export interface ForecastRecord {
  readonly from: number;
  readonly to: number;
  /** What limits promise, 0 to 1. */
  readonly promised: number;
  readonly scores: readonly ForecastScore[];
  /** The last day of it: what was forecast and what came, oldest first. */
  readonly drawn: readonly {
    readonly minutes: number;
    readonly points: readonly ForecastPoint[];
  }[];
}

export interface ForecastPoint {
  /** Wall milliseconds at which it was to come. */
  readonly t: number;
  readonly value: number;
  readonly low: number;
  readonly high: number;
  readonly came: number;
}
