import { fitLine, intervalFactor } from "./line-fit.js";

/** When the condensation margin closes: falls to the set value, as the room warms and moistens or the coolant cools. */
export interface MarginForecast {
  /** °C an hour; negative where it closes. */
  readonly slopePerHour: number;
  /** Minutes until it is at the set value by the line; null where it does not get there within `LONGEST_MIN`. */
  readonly closesInMin: number | null;
  /** The soonest and the latest that the slope allows, nine times in ten; `latest` null where it may not close at all. */
  readonly soonestMin: number | null;
  readonly latestMin: number | null;
  /** Probability that it is below the set value in `WITHIN_MIN` minutes, 0 to 1. */
  readonly probability: number;
}

/** How far it looks ahead, minutes, and within what time its probability counts. */
export const LONGEST_MIN = 240;
export const WITHIN_MIN = 30;

const BIN_MS = 30_000;
/** An hour of the past: long beside a chiller's cycle, short beside the day. */
const MOST_BINS = 120;
/** Below 20 minutes a chiller's cycle passes for a trend. */
const LEAST_BINS = 40;
/** Of the last 20 minutes so much has to be known: what came before a gap says nothing of now. */
const LEAST_LATE = 20;
/** The least spread that readings about the line are taken to have, °C: of two sensors of a workshop (common practice, no source). */
const LEAST_SD = 0.1;

export interface MarginOutlook {
  /** @param mono milliseconds, monotonic @param value margin, °C; null where it is not known */
  take(mono: number, value: number | null): void;
  /** Null where less than twenty minutes are known, or less than ten of the last twenty, or not the margin now. @param setpoint °C */
  forecast(setpoint: number): MarginForecast | null;
}

/**
 * A line through the last hour of the margin, and what its slope leaves open. That the errors of neighbouring bins hang together (a
 * chiller's cycle) widens the limits, as `fitLine` says. It asks when the margin's lowest points get there, not its mean.
 *
 * The last 20 minutes have to bear it out: of the two lines the one counts by which it is less likely to close. Coolant that was too warm and came
 * back is a fall that has ended, and the hour's line alone would carry it on.
 */
export function createMarginOutlook(): MarginOutlook {
  let bins: MarginBin[] = [];
  let known = false;
  /** Until something new is known: it is asked for at every turn of the alarms. */
  let worked: { readonly setpoint: number; readonly forecast: MarginForecast | null } | null = null;

  function workOut(setpoint: number): MarginForecast | null {
    const newest = bins.at(-1);
    if (!known || newest === undefined || bins.length < LEAST_BINS) return null;
    const late = bins.filter(({ slot }) => slot > newest.slot - LEAST_BINS);
    if (late.length < LEAST_LATE) return null;
    const [byHour, byLate] = [alongLine(bins, setpoint), alongLine(late, setpoint)];
    if (byHour === null || byLate === null) return byHour;
    return byLate.probability < byHour.probability ? byLate : byHour;
  }

  return {
    take(mono, value) {
      worked = null;
      const slot = Math.floor(mono / BIN_MS);
      const newest = bins.at(-1);
      if (newest !== undefined && slot < newest.slot) bins = [];
      known = value !== null;
      if (value === null) return;
      const open = bins.at(-1);
      if (open?.slot === slot) {
        open.sum += value;
        open.n += 1;
      } else bins.push({ slot, sum: value, n: 1 });
      bins = bins.filter((bin) => bin.slot > slot - MOST_BINS);
    },
    forecast(setpoint) {
      if (worked?.setpoint !== setpoint) worked = { setpoint, forecast: workOut(setpoint) };
      return worked.forecast;
    },
  };
}

/** Number of the 30 s stretch on the monotonic clock, and the sum and number of the values in it. */
interface MarginBin {
  readonly slot: number;
  sum: number;
  n: number;
}

function alongLine(bins: readonly Readonly<MarginBin>[], setpoint: number): MarginForecast | null {
  const newest = bins.at(-1)?.slot ?? 0;
  const line = fitLine(
    bins.map(({ slot, sum, n }) => ({ t: ((slot - newest) * BIN_MS) / 60_000, value: sum / n })),
    LEAST_SD,
  );
  if (line === null) return null;
  const room = line.atNow + line.below - setpoint;
  const reach = intervalFactor(line.dof) * line.slopeSe;
  const minutesAt = (slope: number) =>
    room <= 0 ? 0 : slope >= 0 || room / -slope > LONGEST_MIN ? null : room / -slope;
  const sd = Math.hypot(Math.max(LEAST_SD, line.residualSd), WITHIN_MIN * line.slopeSe);
  return {
    slopePerHour: line.slope * 60,
    closesInMin: minutesAt(line.slope),
    soonestMin: minutesAt(line.slope - reach),
    latestMin: minutesAt(line.slope + reach),
    probability: normalBelow(-(room + line.slope * WITHIN_MIN) / sd),
  };
}

/** The normal distribution function, by the logistic approximation (within 0.01; common practice, from memory). */
function normalBelow(z: number): number {
  return 1 / (1 + Math.exp(-1.702 * z));
}

/** In words: "closing by 1.2 °C an hour: reaches 2 °C in about 40 min (25 to 70 min)". */
export function marginText(forecast: MarginForecast | null, setpoint: number): string | null {
  if (forecast === null) return null;
  const { slopePerHour, closesInMin, soonestMin, latestMin } = forecast;
  if (closesInMin === null) return soonestMin === null ? "not closing" : "closing slowly, if at all";
  const rate = `closing by ${Math.abs(slopePerHour).toFixed(1)} °C an hour`;
  const whole = (minutes: number) => Math.max(1, Math.round(minutes));
  const limits =
    soonestMin === null
      ? ""
      : latestMin === null
        ? ` (no sooner than ${whole(soonestMin)} min; it may not get there)`
        : ` (${whole(soonestMin)} to ${whole(latestMin)} min)`;
  return `${rate}: reaches ${setpoint} °C in about ${whole(closesInMin)} min${limits}`;
}
