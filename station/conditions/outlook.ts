import type { ChannelDefinition } from "../model/channel.js";
import type { JobForecast } from "../model/coolant-forecast.js";
import type { OutlookView } from "../model/now.js";
import type { ChannelKind } from "../model/quantity.js";
import type { Reading } from "../model/reading.js";
import { createCoolantBins } from "./coolant-bins.js";
import { createCoolantForecaster } from "./coolant-forecast.js";
import { createCoolantHeight } from "./coolant-height.js";
import type { CoolantRange } from "./coolant-trend.js";
import type { DerivedValue } from "./deriver.js";
import { createHeatWatch, heatText } from "./heat-watch.js";
import { forecastJob } from "./job-forecast.js";
import { createMarginOutlook, type MarginForecast, marginText } from "./margin-forecast.js";

export interface OutlookSetup {
  readonly definitions: readonly ChannelDefinition[];
  readonly coolantRange: CoolantRange;
  /** The least condensation margin to cut with, °C. */
  readonly leastMarginC: () => number;
}

/** What is expected to come, from the readings as they pass: of the coolant, the condensation margin and the heat in the tube. */
export interface Outlook {
  take(reading: Reading, derived: readonly DerivedValue[]): void;
  /** @param minutes 1 to 60 */
  job(minutes: number): JobForecast;
  margin(): MarginForecast | null;
  /** How high the coolant stood within the last hour, °C; see `CoolantHeight.usual`. */
  usualHeight(): number | null;
  view(nowMono: number): OutlookView;
}

/** So much of the past a restart gives back to it, ms: the hour that the margin is judged by. */
export const OUTLOOK_PAST_MS = 3_600_000;
const LOOKED_AT = new Set<ChannelKind>(["coolant-inlet", "room-temperature", "room-humidity", "laser-on"]);

/** Ids of the channels whose past it looks at. */
export function outlookChannels(definitions: readonly ChannelDefinition[]): string[] {
  return definitions.filter(({ kind }) => LOOKED_AT.has(kind)).map(({ id }) => id);
}

/** So far ahead the page Now looks, minutes. */
const SHOWN_MIN = 15;

export function createOutlook({ definitions, coolantRange, leastMarginC }: OutlookSetup): Outlook {
  const forecaster = createCoolantForecaster();
  const height = createCoolantHeight(coolantRange);
  let fresh = false;
  let shown: string | null = null;
  const bins = createCoolantBins(definitions, (bin) => {
    forecaster.push(bin);
    height.push(bin);
    fresh = true;
  });
  const margin = createMarginOutlook();
  const heat = createHeatWatch(definitions);

  const coolantText = (): string | null => {
    // Nothing new is known between two bins.
    if (fresh) {
      const ahead = forecaster.at(SHOWN_MIN);
      shown =
        ahead === null
          ? null
          : `in ${SHOWN_MIN} min about ${ahead.value.toFixed(1)} °C (${ahead.low.toFixed(1)} to ${ahead.high.toFixed(1)} °C)`;
      fresh = false;
    }
    return shown;
  };

  return {
    take(reading, derived) {
      bins.take(reading);
      heat.take(reading);
      for (const { condition, at, value } of derived)
        if (condition === "condensation-margin") margin.take(at.mono, value);
    },
    job: (minutes) => forecastJob(forecaster, minutes, coolantRange),
    margin: () => margin.forecast(leastMarginC()),
    usualHeight: height.usual,
    view: (nowMono) => ({
      coolant: coolantText(),
      margin: marginText(margin.forecast(leastMarginC()), leastMarginC()),
      heat: heatText(heat.now(nowMono)),
    }),
  };
}
