import { AppError } from "../errors.js";
import type { Bath, ProbeNow, TakenPoint, ThermometerView, Truth } from "../model/calibration-view.js";
import type { Calibration, ChannelDefinition } from "../model/channel.js";
import type { Instant } from "../model/instant.js";
import { CHANNEL_KINDS } from "../model/quantity.js";
import type { RawReading } from "../model/reading.js";
import {
  type CalibrationPoint,
  COVERAGE,
  calibratedU,
  ICE_WITHIN,
  ofCertificate,
  ofLimits,
  saidU,
  twoPoints,
} from "./calibration.js";
import type { ConfigEdit } from "./config-edit.js";
import { type SaidAt, STEADY_S, steadiness } from "./steady.js";

interface Point extends CalibrationPoint {
  readonly takenWall: number;
}

export interface CalibrationDesk {
  /** Every reading of the station's sources. */
  heard(raw: RawReading): void;
  view(now: Instant): readonly ThermometerView[];
  /** Takes what the probe says now for the bath. @throws AppError `channel-unknown`, `probe-not-steady` */
  take(channel: string, bath: Bath, truth: Truth, now: Instant): void;
  /** Lets a point go. @throws AppError `channel-unknown` */
  forget(channel: string, bath: Bath): void;
  /** The change of station.yaml that the two points make. @throws AppError `channel-unknown`, `calibration-unfinished` */
  edits(channel: string): readonly ConfigEdit[];
}

/** Readings are kept for as long as a probe is looked at, and a little more. */
const KEPT_MS = (STEADY_S + 30) * 1000;
/** Of a board that says it more often: readings nearer to each other than this are hardly more than the same one again. */
const APART_MS = 500;
/** A probe that has said nothing for so long is silent. */
const SILENT_MS = 15_000;

/**
 * Where thermometers are calibrated, one bath after the other. What was taken is held in memory only: it is some minutes' work, and
 * a bath that was warm before a restart is not any more.
 * @param definitions of the running station; the thermometers among them count
 * @param range of the coolant, where it matters how good the calibration is
 */
export function createCalibrationDesk(
  definitions: readonly ChannelDefinition[],
  range: { readonly low: number; readonly high: number },
): CalibrationDesk {
  const thermometers = new Map(
    definitions.filter(({ kind }) => CHANNEL_KINDS[kind].unit === "Cel").map((each) => [each.id, each]),
  );
  const heard = new Map<string, SaidAt[]>();
  const taken = new Map<string, Partial<Record<Bath, Point>>>();

  const keep = (channel: string, said: SaidAt): void => {
    const kept = heard.get(channel) ?? [];
    const last = kept.at(-1);
    if (last !== undefined && said.mono - last.mono < APART_MS) return;
    kept.push(said);
    while (kept[0] !== undefined && kept[0].mono <= said.mono - KEPT_MS) kept.shift();
    heard.set(channel, kept);
  };
  const found = (channel: string): ChannelDefinition => {
    const definition = thermometers.get(channel);
    if (definition !== undefined) return definition;
    throw new AppError(
      "channel-unknown",
      `No thermometer is called "${channel}". Reload the page to see those there are.`,
    );
  };
  const lookAt = ({ id, resolution }: ChannelDefinition, now: Instant) => {
    const readings = heard.get(id) ?? [];
    const last = readings.at(-1);
    if (last === undefined || now.mono - last.mono > SILENT_MS) return null;
    return { said: last.value, ...steadiness(readings, now.mono, resolution) };
  };
  const pointsOf = (channel: string) => {
    const { low = null, high = null } = taken.get(channel) ?? {};
    return { low, high };
  };

  return {
    heard(raw) {
      for (const { id, source, point } of thermometers.values()) {
        if (source !== raw.source || (point !== null && point !== raw.point)) continue;
        const good =
          "value" in raw && raw.doubt === undefined && raw.unit === "Cel" && Number.isFinite(raw.value);
        // A bad reading begins the minute anew: whatever it was, the probe was not simply lying in its bath.
        if (!good) {
          heard.delete(id);
          continue;
        }
        keep(id, { mono: raw.at.mono, value: raw.value });
      }
    },
    view: (now) =>
      [...thermometers.values()].map((definition) => {
        const { low, high } = pointsOf(definition.id);
        const made = low === null || high === null ? null : twoPoints(low, high);
        return {
          channel: definition.id,
          name: definition.name,
          now: probeNow(lookAt(definition, now)),
          inFile: inFile(definition.calibration),
          taken: { low: low && shown(low), high: high && shown(high) },
          faults: made === null || made.ok ? [] : made.faults,
          gives:
            low === null || high === null || made?.ok !== true ? null : givenBy(low, high, made.slope, range),
        };
      }),
    take(channel, bath, truth, now) {
      const definition = found(channel);
      const look = lookAt(definition, now);
      if (look?.steady !== true) {
        throw new AppError(
          "probe-not-steady",
          look === null
            ? `${definition.name} says nothing now. See that it is plugged in, then try again.`
            : `${definition.name} has not come to rest yet: wait until it has said the same for a minute, and stir meanwhile.`,
        );
      }
      taken.set(channel, {
        ...taken.get(channel),
        [bath]: { said: look.readings, ...truthOf(truth), takenWall: now.wall },
      });
    },
    forget(channel, bath) {
      found(channel);
      const { [bath]: _gone, ...rest } = taken.get(channel) ?? {};
      taken.set(channel, rest);
    },
    edits(channel) {
      found(channel);
      const { low, high } = pointsOf(channel);
      const made = low === null || high === null ? null : twoPoints(low, high);
      if (made?.ok !== true) {
        const why =
          made === null ? ["both baths to have been taken"] : made.faults.map(({ expected }) => expected);
        throw new AppError("calibration-unfinished", `Expected ${why.join("; and ")}.`);
      }
      const { calibration } = made;
      if (!("points" in calibration)) return [];
      return [
        {
          edit: "set-entry",
          list: "channels",
          id: channel,
          key: "calibration",
          value: { points: calibration.points },
        },
      ];
    },
  };
}

function truthOf(truth: Truth): Pick<CalibrationPoint, "truth" | "truthU"> {
  switch (truth.by) {
    case "ice":
      return { truth: 0, truthU: ofLimits(ICE_WITHIN) };
    case "limits":
      return { truth: truth.truth, truthU: ofLimits(truth.within) };
    case "certificate":
      return { truth: truth.truth, truthU: ofCertificate(truth.expanded, truth.coverage) };
  }
}

function probeNow(look: ({ readonly said: number } & ReturnType<typeof steadiness>) | null): ProbeNow {
  if (look === null) return { state: "silent" };
  const { said } = look;
  if (look.steady) return { state: "steady", said };
  return look.why === "moving"
    ? { state: "moving", said }
    : { state: "waiting", said, secondsToGo: look.secondsToGo ?? STEADY_S };
}

function shown({ said, truth, truthU, takenWall }: Point): TakenPoint {
  return { said: said.mean, truth, u: Math.hypot(truthU, saidU(said)), takenWall };
}

/** At both points and the ends of the coolant's range, in rising order. */
function givenBy(
  low: CalibrationPoint,
  high: CalibrationPoint,
  slope: number,
  range: { readonly low: number; readonly high: number },
) {
  return [low.truth, range.low, range.high, high.truth]
    .toSorted((a, b) => a - b)
    .map((reads) => {
      const said = low.said.mean + (reads - low.truth) / slope;
      return { reads, expanded: COVERAGE * calibratedU(low, high, said) };
    });
}

function inFile(calibration: Calibration | null) {
  return calibration !== null && "points" in calibration ? calibration.points : null;
}
