import type { Excursion } from "../conditions/window-statistics.js";
import type { RunEnd, RunFlag, WindowStatistics } from "../model/run.js";

export const SIMULATED_FLAG: RunFlag = {
  flag: "simulated",
  text: "Simulated: these readings come from the simulated bench, not from sensors.",
  excursion: null,
  seconds: null,
};

/**
 * Flags a run whose coolant left the set range at any time in it: how far, and for how long.
 * @param known whether enough of the run has good data for a number
 */
export function coolantFlag(
  name: string,
  outside: Excursion | null,
  range: { readonly low: number; readonly high: number },
  known: boolean,
): RunFlag[] {
  if (outside === null) return [];
  const { lowest, highest, belowMs, aboveMs } = outside;
  if (lowest === null && highest === null) return [];
  if (!known) {
    const text = `${name} was seen outside its range, but too little of the run has good data to say how far or for how long.`;
    return [{ flag: "coolant-out-of-range", text, excursion: null, seconds: null }];
  }
  const under = lowest === null ? 0 : range.low - lowest;
  const over = highest === null ? 0 : highest - range.high;
  const parts = [
    ...(highest === null
      ? []
      : [
          `above ${celsius(range.high)} for ${duration(aboveMs)}, up to ${celsius(highest)} (${celsius(over)} over)`,
        ]),
    ...(lowest === null
      ? []
      : [
          `below ${celsius(range.low)} for ${duration(belowMs)}, down to ${celsius(lowest)} (${celsius(under)} under)`,
        ]),
  ];
  return [
    {
      flag: "coolant-out-of-range",
      text: `${name} was ${parts.join(", and ")}.`,
      excursion: over >= under ? over : -under,
      seconds: (belowMs + aboveMs) / 1000,
    },
  ];
}

/** A run whose coolant cannot be told from the data there is. */
export function unknownFlag(coolant: WindowStatistics | null, minGoodShare: number): RunFlag[] {
  if (coolant?.known) return [];
  const why =
    coolant === null
      ? "no coolant temperature is set up"
      : `the coolant had good data for ${percent(coolant.goodShare)} of the run, and ${percent(minGoodShare)} is asked for`;
  return [
    { flag: "conditions-unknown", text: `Conditions unknown: ${why}.`, excursion: null, seconds: null },
  ];
}

/** @param stopped statistics of "1 while the extraction was seen standing still" @param lengthMs of the run */
export function extractionFlag(stopped: WindowStatistics, lengthMs: number): RunFlag[] {
  if (stopped.max !== 1 || stopped.mean === null) return [];
  const ms = stopped.mean * (stopped.goodShare + stopped.uncertainShare) * lengthMs;
  if (ms <= 0) return [];
  return [
    {
      flag: "extraction-stopped",
      text: `Extraction stood still for ${duration(ms)} of the run.`,
      excursion: null,
      seconds: ms / 1000,
    },
  ];
}

const INTERRUPTED = {
  "power-lost":
    "The power was lost during this run: it was closed at the next start, at the last reading the journal holds, and the cut may have gone on longer.",
  "station-failed":
    "The station broke off during this run: it was closed at the next start, at the last reading the journal holds, and the cut may have gone on longer.",
  "station-stopped":
    "The station was shut down during this run: it was closed at that moment, and the cut may have gone on longer.",
} as const;

export function interruptedFlag(cause: RunEnd): RunFlag[] {
  if (cause !== "power-lost" && cause !== "station-failed" && cause !== "station-stopped") return [];
  return [{ flag: "interrupted", text: INTERRUPTED[cause], excursion: null, seconds: null }];
}

/** At most two decimals: an excursion of one step of the sensor (1/16 °C) must not be rounded to nothing. */
function celsius(value: number): string {
  return `${Number(value.toFixed(2))} °C`;
}

function percent(share: number): string {
  return `${Math.round(share * 100)} %`;
}

function duration(ms: number): string {
  const seconds = ms / 1000;
  if (seconds < 10) return `${seconds.toFixed(1)} s`;
  if (seconds < 120) return `${Math.round(seconds)} s`;
  return `${Math.floor(seconds / 60)} min ${Math.round(seconds % 60)} s`;
}
