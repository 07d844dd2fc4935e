import { BIN_S, type CoolantBin } from "../conditions/coolant-bins.js";
import type { CoolantRange } from "../conditions/coolant-trend.js";
import { type FilterDay, type FilterMinute, filterDays } from "../conditions/filter-loading.js";
import { scoreForecasts } from "../conditions/forecast-record.js";
import { AppError } from "../errors.js";
import type { ForecastRecord } from "../model/coolant-forecast.js";
import type { Bucket, Series } from "../model/now.js";
import type { SeriesRequest } from "./reader-calls.js";
import { DAY_MS, MINUTE_MS } from "./rollup.js";
import { MOST_BUCKETS } from "./series.js";

export interface ForecastsRequest {
  /** Channels of the coolant at the inlet and of the laser; the second null where there is none. */
  readonly coolant: string;
  readonly laser: string | null;
  /** Wall milliseconds. */
  readonly from: number;
  readonly to: number;
  readonly range: CoolantRange;
}

export interface FilterDaysRequest {
  readonly pressure: string;
  /** Null where the fan's speed is not measured. */
  readonly speed: string | null;
  readonly from: number;
  readonly to: number;
}

export interface ProcessReads {
  /** How good the forecasts of the coolant were. */
  coolantForecasts: { params: ForecastsRequest; result: ForecastRecord };
  /** The filter on each day on which the fan turned for a while. */
  filterDays: { params: FilterDaysRequest; result: readonly FilterDay[] };
}

type Ask = (request: SeriesRequest) => Series;
type Handlers = {
  readonly [K in keyof ProcessReads]: (params: ProcessReads[K]["params"]) => ProcessReads[K]["result"];
};

const BIN_MS = BIN_S * 1000;

/**
 * Both look at days of readings, and so belong on the reading thread.
 * @param series reduces one channel to buckets
 * @param dayOf the day that a wall time lies in
 */
export function createProcessReads(series: Ask, dayOf: (wall: number) => string): Handlers {
  let remembered: { readonly key: string; readonly record: ForecastRecord } | null = null;

  /** Of a channel that has never been kept there is nothing. */
  const bucketsOf = (channel: string | null, from: number, to: number, width: number): Bucket[] => {
    const buckets: Bucket[] = [];
    for (let at = from; at < to; at += MOST_BUCKETS * width) {
      const end = Math.min(to, at + MOST_BUCKETS * width);
      const count = Math.ceil((end - at) / width);
      const empty = () =>
        Array.from({ length: count }, (_, i) => ({ t: at + i * width, min: null, mean: null, max: null }));
      buckets.push(...(channel === null ? empty() : orNone(() => askedFor(channel, at, end, count), empty)));
    }
    return buckets;
  };
  const askedFor = (channel: string, from: number, to: number, buckets: number) =>
    [...series({ channel, from, to, buckets }).buckets].filter(({ t }) => t >= from && t < to);

  return {
    coolantForecasts({ coolant, laser, range, ...window }) {
      const from = Math.floor(window.from / BIN_MS) * BIN_MS;
      const to = Math.floor(window.to / BIN_MS) * BIN_MS;
      const key = JSON.stringify([coolant, laser, range, from, to]);
      if (remembered?.key === key) return remembered.record;
      const on = bucketsOf(laser, from, to, BIN_MS);
      const bins = bucketsOf(coolant, from, to, BIN_MS).map(
        ({ mean }, i): CoolantBin => ({ value: mean, duty: on[i]?.mean ?? 0 }),
      );
      const record = scoreForecasts(bins, from, to, range);
      remembered = { key, record };
      return record;
    },
    filterDays({ pressure, speed, from, to }) {
      const minutes: FilterMinute[] = [];
      const first = Math.floor(from / DAY_MS) * DAY_MS;
      // Of a shop's days most are from before the station was there: they are passed over whole, and not a minute at a time.
      const kept = bucketsOf(pressure, first, Math.ceil(to / DAY_MS) * DAY_MS, DAY_MS);
      for (const { t: day, mean } of kept) {
        if (mean === null) continue;
        const turned = speed === null ? null : bucketsOf(speed, day, day + DAY_MS, MINUTE_MS);
        for (const [i, drop] of bucketsOf(pressure, day, day + DAY_MS, MINUTE_MS).entries()) {
          const fan = turned === null ? null : steadySpeed(turned[i]);
          if (drop.mean === null || (turned !== null && (fan === null || fan <= 0))) continue;
          minutes.push({ t: drop.t, pressure: drop.mean, speed: fan });
        }
      }
      return filterDays(minutes, dayOf);
    },
  };
}

/** A minute in which the fan started or stopped says nothing of the filter. */
function steadySpeed(minute: Bucket | undefined): number | null {
  if (minute === undefined || minute.min === null || minute.max === null) return null;
  return minute.min >= 0.9 * minute.max ? minute.mean : null;
}

function orNone<T>(ask: () => T, none: () => T): T {
  try {
    return ask();
  } catch (error) {
    if (error instanceof AppError && error.code === "channel-unknown") return none();
    throw error;
  }
}
