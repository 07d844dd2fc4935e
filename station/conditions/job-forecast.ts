import type { JobForecast, JobVerdict } from "../model/coolant-forecast.js";
import type { CoolantForecast, CoolantForecaster } from "./coolant-forecast.js";
import type { CoolantRange } from "./coolant-trend.js";

/** Probability of leaving the range below which it likely stays, and from which on it will most likely leave. */
export const LIKELY_STAYS_BELOW = 0.1;
export const WILL_LEAVE_FROM = 0.8;

export type Outlook = Pick<CoolantForecaster, "at" | "leaving" | "knownMin">;

/**
 * Whether the coolant stays in its range for a job of so many minutes that begins now. It knows of heat only what the last three hours
 * have shown: a job that is heavier than those before is not in it, and it says so.
 * @param minutes 1 to 60
 */
export function forecastJob(outlook: Outlook, minutes: number, range: CoolantRange): JobForecast {
  const leaves = outlook.leaving(minutes, range);
  const ahead = outlook.at(minutes);
  const scope = `${range.low} to ${range.high} °C`;
  if (leaves === null || ahead === null) {
    return {
      ...{ minutes, verdict: "cannot-tell", leaves: null, value: null, low: null, high: null },
      sentence: `Cannot tell whether the coolant stays in ${scope} for ${minutes} min.`,
      because: "The coolant has to be measured for a minute at least.",
    };
  }
  const verdict = verdictOf(leaves);
  const { value, low, high } = ahead;
  return {
    ...{ minutes, verdict, leaves, value, low, high },
    sentence: sentenceOf(verdict, minutes, scope, leaves),
    because: becauseOf(ahead, outlook.knownMin()),
  };
}

function verdictOf(leaves: number): JobVerdict {
  if (leaves === 1) return "outside";
  if (leaves >= WILL_LEAVE_FROM) return "will-leave";
  return leaves < LIKELY_STAYS_BELOW ? "likely-stays" : "may-leave";
}

function sentenceOf(verdict: JobVerdict, minutes: number, scope: string, leaves: number): string {
  const chance = `chance of leaving ${percent(leaves)}`;
  switch (verdict) {
    case "outside":
      return `The coolant is outside ${scope} now.`;
    case "will-leave":
      return `The coolant will most likely leave ${scope} within ${minutes} min (${chance}).`;
    case "may-leave":
      return `The coolant may leave ${scope} within ${minutes} min (${chance}).`;
    default:
      return `The coolant likely stays in ${scope} for ${minutes} min (${chance}).`;
  }
}

function percent(share: number): string {
  const whole = Math.round(100 * share);
  return whole < 1 ? "below 1 %" : `${Math.min(99, whole)} %`;
}

function becauseOf({ minutes, value, low, high, likeness }: CoolantForecast, knownMin: number): string {
  const then = `In ${minutes} min about ${value.toFixed(1)} °C, nine times in ten between ${low.toFixed(1)} and ${high.toFixed(1)} °C.`;
  const known = knownMin >= 120 ? `${Math.floor(knownMin / 60)} h` : `${Math.floor(knownMin)} min`;
  const rests =
    likeness >= 0.5
      ? `It goes by moments like this one in the last ${known}. A job that heats more than those before is not in it.`
      : `Nothing quite like this was seen in the last ${known}, so it goes by the last minutes alone.`;
  return `${then} ${rests}`;
}
