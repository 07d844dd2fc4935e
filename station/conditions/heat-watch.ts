import type { ChannelDefinition } from "../model/channel.js";
import type { ChannelKind } from "../model/quantity.js";
import type { Reading } from "../model/reading.js";
import { fromLimits, heatCarried, type Uncertain } from "./heat-carried.js";

/**
 * What sensors are taken to be good for where the owner has not calibrated them: ± 0.5 °C (DS18B20 data sheet, -10 to 85 °C, from
 * memory) and ± 10 % of the flow (turbine sensors; common practice, no source). Calibrated side by side: ± 0.1 °C and ± 3 %
 * (this station's choice, no source).
 */
const CELSIUS = { plain: 0.5, calibrated: 0.1 } as const;
const FLOW_SHARE = { plain: 0.1, calibrated: 0.03 } as const;

/** Means over so long, ms: long beside the noise of a reading, short beside a job. */
const MEAN_MS = 30_000;

export interface HeatWatch {
  take(reading: Reading): void;
  /** W; null where one of the three sensors is not set up or says nothing now. */
  now(mono: number): Uncertain | null;
}

/** The heat that the coolant carries away, from the means of the last half minute. */
export function createHeatWatch(definitions: readonly ChannelDefinition[]): HeatWatch {
  const firstOf = (kind: ChannelKind) => definitions.find((definition) => definition.kind === kind);
  const inlet = firstOf("coolant-inlet");
  const outlet = firstOf("coolant-outlet");
  const flow = firstOf("coolant-flow");
  const fitted = [inlet, outlet, flow].filter((each) => each !== undefined);
  const recent = new Map<string, Reading[]>(fitted.map(({ id }) => [id, []]));

  const meanOf = ({ id, staleAfterS }: ChannelDefinition, mono: number): number | null => {
    const readings = recent.get(id) ?? [];
    const last = readings.at(-1);
    if (last === undefined || last.value === null || mono - last.at.mono > staleAfterS * 1000) return null;
    const values = readings.flatMap(({ value }) => (value === null ? [] : [value]));
    return values.reduce((sum, value) => sum + value, 0) / values.length;
  };
  const celsius = (channel: ChannelDefinition, value: number): Uncertain => ({
    value,
    sd: fromLimits(channel.calibration === null ? CELSIUS.plain : CELSIUS.calibrated),
  });

  return {
    take(reading) {
      const readings = recent.get(reading.channel);
      if (readings === undefined) return;
      if ((readings.at(-1)?.at.mono ?? 0) > reading.at.mono) readings.length = 0;
      readings.push(reading);
      while ((readings[0]?.at.mono ?? reading.at.mono) < reading.at.mono - MEAN_MS) readings.shift();
    },
    now(mono) {
      if (inlet === undefined || outlet === undefined || flow === undefined) return null;
      const [into, out, litres] = [inlet, outlet, flow].map((channel) => meanOf(channel, mono));
      if (into == null || out == null || litres == null) return null;
      const share = flow.calibration === null ? FLOW_SHARE.plain : FLOW_SHARE.calibrated;
      return heatCarried({
        inlet: celsius(inlet, into),
        outlet: celsius(outlet, out),
        flow: { value: litres, sd: fromLimits(share * litres) },
      });
    },
  };
}

/** "390 W, give or take 170 W": two standard uncertainties, which is some 95 % (JCGM 100:2008, 6.2.1, from memory). */
export function heatText(heat: Uncertain | null): string | null {
  if (heat === null) return null;
  const round = (watts: number) => Math.round(watts / 10) * 10;
  return `${round(heat.value)} W, give or take ${Math.max(10, round(2 * heat.sd))} W`;
}
