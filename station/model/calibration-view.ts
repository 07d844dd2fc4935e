/** The two baths that a thermometer is calibrated in, the colder one first. */
export const BATHS = ["low", "high"] as const;
export type Bath = (typeof BATHS)[number];

/** How a probe does in the bath it is in now. */
export type ProbeNow =
  /** It says nothing, or what it says is no temperature. */
  | { readonly state: "silent" }
  | { readonly state: "waiting"; readonly said: number; readonly secondsToGo: number }
  | { readonly state: "moving"; readonly said: number }
  | { readonly state: "steady"; readonly said: number };

/** One point as it was taken. Degrees Celsius; standard uncertainties in kelvin. */
export interface TakenPoint {
  readonly said: number;
  readonly truth: number;
  /** Of the truth, and of what the probe said, together. */
  readonly u: number;
  readonly takenWall: number;
}

export interface CalibratedAt {
  /** What the calibrated channel will say. */
  readonly reads: number;
  /** Expanded uncertainty, k = 2. */
  readonly expanded: number;
}

export interface ThermometerView {
  readonly channel: string;
  readonly name: string;
  /** What the probe says without any calibration. */
  readonly now: ProbeNow;
  /** The points that station.yaml has: [the probe says, truth]. Null where there are none. */
  readonly inFile: readonly (readonly [number, number])[] | null;
  readonly taken: Readonly<Record<Bath, TakenPoint | null>>;
  /** What is wrong with the two that were taken; empty where nothing is, or one is still missing. */
  readonly faults: readonly { readonly point: Bath | "both"; readonly expected: string }[];
  /** Where both were taken and go together: at both points and at the ends of the coolant's range. */
  readonly gives: readonly CalibratedAt[] | null;
}

export interface CalibrationView {
  readonly thermometers: readonly ThermometerView[];
  /** Of the simulated bench, which has nothing to be calibrated. */
  readonly simulated: boolean;
  /** Of station.yaml as it is now: see `SetupFile`. */
  readonly hash: string;
}

/** What is known of a bath's temperature, degrees Celsius. */
export type Truth =
  | { readonly by: "ice" }
  /** A thermometer that is good to ± `within`, as its sheet says. */
  | { readonly by: "limits"; readonly truth: number; readonly within: number }
  /** One with a certificate: its reading, corrected, and the expanded uncertainty with its coverage factor. */
  | {
      readonly by: "certificate";
      readonly truth: number;
      readonly expanded: number;
      readonly coverage: number;
    };
