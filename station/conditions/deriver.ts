import type { ChannelDefinition } from "../model/channel.js";
import type { Instant } from "../model/instant.js";
import type { ExtractionView } from "../model/now.js";
import { type ChannelKind, CONDITIONS, type ConditionId } from "../model/quantity.js";
import type { Quality, Reading, Reason } from "../model/reading.js";
import {
  type CoolantRange,
  type CoolantTrend,
  fitTrend,
  type TrendOptions,
  type TrendPoint,
  unknownTrend,
} from "./coolant-trend.js";
import { isExtractionKind, viewExtraction } from "./extraction.js";
import { AIR_RANGE_C, absoluteHumidity, condensationMargin, dewOrFrostPoint } from "./humid-air.js";
import { WOOD_RANGE_C, woodEquilibriumMoisture } from "./wood-moisture.js";

/** A condition worked out from readings. `value` is null exactly when bad; the reason is that of the worst input. */
export interface DerivedValue {
  readonly condition: ConditionId;
  /** The instant of the reading that it was worked out at. */
  readonly at: Instant;
  readonly value: number | null;
  readonly quality: Quality;
  readonly reason: Reason | null;
}

export interface DeriverSetup {
  /** The first channel of each kind is the one used. */
  readonly definitions: readonly ChannelDefinition[];
  /** °C. */
  readonly coolantRange: CoolantRange;
  readonly trend?: Pick<TrendOptions, "windowS" | "horizonMin">;
}

/**
 * Works the conditions out as the readings pass. Its state depends on the sequence of readings alone, so the same readings
 * taken from the journal give the same values to the last bit; and of the coolant only those inside the trend's window
 * count. It keeps no time: that a sensor has fallen silent must come as a bad reading.
 */
export interface Deriver {
  /** What follows from this reading: every condition that the channel is an input of. */
  take(reading: Reading): readonly DerivedValue[];
  /** The latest of each condition so far, in the order of CONDITIONS; those without their sensors are not there. */
  current(): readonly DerivedValue[];
  trend(): CoolantTrend;
  extraction(): ExtractionView;
}

/** The trend's history holds at most this many readings a second. */
const KEPT_PER_S = 2;

type Judgement = { readonly value: number | null; readonly quality: Quality; readonly reason: Reason | null };

export function createDeriver({ definitions, coolantRange, trend: trendSetup = {} }: DeriverSetup): Deriver {
  const firstOf = (kind: ChannelKind) => definitions.find((definition) => definition.kind === kind) ?? null;
  const coolant = firstOf("coolant-inlet");
  const roomTemperature = firstOf("room-temperature");
  const roomHumidity = firstOf("room-humidity");
  const hasRoom = roomTemperature !== null && roomHumidity !== null;
  const roomChannels = new Set(hasRoom ? [roomTemperature.id, roomHumidity.id] : []);
  const extractionChannels = new Set(
    definitions.filter(({ kind }) => isExtractionKind(kind)).map(({ id }) => id),
  );

  const trendOptions: TrendOptions = {
    ...trendSetup,
    ...(coolant === null ? {} : { resolution: coolant.resolution, staleAfterS: coolant.staleAfterS }),
  };
  const history = createHistory((trendOptions.windowS ?? 600) * 1000);
  const latest = new Map<string, Reading>();
  const current = new Map<ConditionId, DerivedValue>();
  const latestOf = (id: string) => latest.get(id) ?? null;

  let trend = unknownTrend(trendOptions.horizonMin);
  let extraction = viewExtraction(definitions, latestOf);

  const inputOf = (definition: ChannelDefinition | null) =>
    definition === null ? null : latestOf(definition.id);

  const takeCoolant = (reading: Reading) => {
    // A value that leapt is most likely a fault of the wire; one such would bend the trend for a whole window.
    if (reading.value !== null && reading.reason !== "sudden-jump") {
      history.add({ mono: reading.at.mono, value: reading.value });
    }
    trend =
      reading.value === null
        ? unknownTrend(trendOptions.horizonMin)
        : fitTrend(history.points(), reading.at.mono, coolantRange, trendOptions);
  };

  const conditionsOf = (channel: string): [ConditionId, Judgement][] => {
    const found: [ConditionId, Judgement][] = [];
    const room = [inputOf(roomTemperature), inputOf(roomHumidity)];
    if (roomChannels.has(channel)) {
      found.push(
        ["dew-point", derive(room, ([t, rh]) => inAir(t, rh, (humidity) => dewOrFrostPoint(t, humidity).tC))],
        [
          "absolute-humidity",
          derive(room, ([t, rh]) => inAir(t, rh, (humidity) => absoluteHumidity(t, humidity))),
        ],
        ["wood-moisture", derive(room, ([t, rh]) => woodIn(t, rh))],
      );
    }
    if (hasRoom && coolant !== null && (roomChannels.has(channel) || channel === coolant.id)) {
      const inputs = [inputOf(coolant), ...room];
      found.push([
        "condensation-margin",
        derive(inputs, ([water, t, rh]) =>
          inAir(t, rh, (humidity) => condensationMargin(water, t, humidity)),
        ),
      ]);
    }
    if (channel === coolant?.id) {
      const inputs = [inputOf(coolant)];
      found.push(
        ["coolant-slope", derive(inputs, () => trend.slopePerMin ?? "too-few-readings")],
        ["coolant-time-in-range", derive(inputs, () => trend.minutesInRange ?? "too-few-readings")],
      );
    }
    return found;
  };

  return {
    take(reading) {
      latest.set(reading.channel, reading);
      if (extractionChannels.has(reading.channel)) extraction = viewExtraction(definitions, latestOf);
      if (reading.channel === coolant?.id) takeCoolant(reading);
      const { at } = reading;
      const derived = conditionsOf(reading.channel).map(([condition, judgement]) => ({
        condition,
        at,
        ...judgement,
      }));
      for (const value of derived) current.set(value.condition, value);
      return derived;
    },
    current: () =>
      (Object.keys(CONDITIONS) as ConditionId[]).flatMap((condition) => {
        const value = current.get(condition);
        return value === undefined ? [] : [value];
      }),
    trend: () => trend,
    extraction: () => extraction,
  };
}

/**
 * Of several readings in one half-second the last is kept. The half-seconds are fixed in time and not counted from the
 * reading before, so that a replay that begins later keeps the same ones.
 */
function createHistory(windowMs: number) {
  let points: TrendPoint[] = [];
  const slotOf = (mono: number) => Math.floor((mono / 1000) * KEPT_PER_S);
  const most = 2 * Math.ceil((windowMs / 1000) * KEPT_PER_S);
  return {
    points: (): readonly TrendPoint[] => points,
    add(point: TrendPoint) {
      const before = points[points.length - 1];
      // The monotonic clock goes back only where the machine was started again: what was before says nothing about now.
      if (before !== undefined && point.mono < before.mono) points = [];
      else if (before !== undefined && slotOf(before.mono) === slotOf(point.mono)) points.pop();
      if (points.length >= most) points = points.filter(({ mono }) => mono > point.mono - windowMs);
      points.push(point);
    },
  };
}

/** The worst of the inputs decides the quality and gives the reason; among equals the first. */
function worstOf(inputs: readonly (Reading | null)[]): {
  readonly quality: Quality;
  readonly reason: Reason | null;
} {
  let worst: { quality: Quality; reason: Reason | null } = { quality: "good", reason: null };
  for (const input of inputs) {
    if (input === null || input.quality === "bad") {
      return { quality: "bad", reason: input === null ? "never-read" : input.reason };
    }
    if (input.quality === "uncertain" && worst.quality === "good") worst = input;
  }
  return { quality: worst.quality, reason: worst.reason };
}

type Triple = [number, number, number];

/** @param formula gives a number, or the reason why there is none */
function derive(
  inputs: readonly (Reading | null)[],
  formula: (values: Triple) => number | Reason,
): Judgement {
  const { quality, reason } = worstOf(inputs);
  if (quality === "bad") return { value: null, quality, reason };
  const [a = 0, b = 0, c = 0] = inputs.map((input) => input?.value ?? 0);
  const result = formula([a, b, c]);
  return typeof result === "number"
    ? { value: result, quality, reason }
    : { value: null, quality: "bad", reason: result };
}

/** A sensor in a fog may read a little over 100 %: that is 100. */
function inAir(tC: number, rhPct: number, formula: (rhPct: number) => number): number | Reason {
  if (tC < AIR_RANGE_C.low || tC > AIR_RANGE_C.high || rhPct <= 0) return "beyond-formula";
  return formula(Math.min(100, rhPct));
}

function woodIn(tC: number, rhPct: number): number | Reason {
  if (tC < WOOD_RANGE_C.low || tC > WOOD_RANGE_C.high || rhPct < 0) return "beyond-formula";
  return woodEquilibriumMoisture(tC, Math.min(100, rhPct));
}
