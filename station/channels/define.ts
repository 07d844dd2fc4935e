import { AppError } from "../errors.js";
import type { Calibration, ChannelDefinition, ChannelEntry } from "../model/channel.js";
import { CHANNEL_KINDS, type ChannelKind } from "../model/quantity.js";
import { unitFits } from "./units.js";

interface KindDefaults {
  /** In the unit of the kind, after calibration. */
  readonly valid: readonly [number, number];
  readonly resolution: number;
  readonly runningAt: number | null;
}

const STATE: KindDefaults = { valid: [0, 1], resolution: 1, runningAt: null };

/**
 * What holds for a kind where the configuration says nothing. All figures are common practice, no source, except the
 * 0.0625 °C step of a 12 bit DS18B20 (its data sheet, from memory). The valid ranges are wide on purpose: they catch a
 * broken sensor, not a bad day; setpoints are the alarms' business.
 */
const DEFAULTS: Readonly<Record<ChannelKind, KindDefaults>> = {
  // A loop that is frozen solid or boiling is a broken probe long before it is a measurement.
  "coolant-inlet": { valid: [-10, 90], resolution: 0.0625, runningAt: null },
  "coolant-outlet": { valid: [-10, 90], resolution: 0.0625, runningAt: null },
  "coolant-flow": { valid: [0, 60], resolution: 0.1, runningAt: null },
  "coolant-flowing": STATE,
  "room-temperature": { valid: [-30, 60], resolution: 0.1, runningAt: null },
  // A dead sensor says 0 % RH, a room never does. A sound sensor with an offset may say a little over 100 in a fog, and
  // must not fall silent just when the condensation is worst.
  "room-humidity": { valid: [1, 105], resolution: 0.1, runningAt: null },
  "extraction-airflow": { valid: [0, 60], resolution: 0.1, runningAt: 0.5 },
  // Below zero: the two hoses of a differential sensor may be swapped, or gusts press on the outlet.
  "extraction-pressure": { valid: [-2500, 2500], resolution: 1, runningAt: 20 },
  // The drop over the filter alone, which grows as it loads; the same swapped hoses as above.
  "filter-pressure": { valid: [-2500, 2500], resolution: 1, runningAt: null },
  "extraction-speed": { valid: [0, 30_000], resolution: 1, runningAt: 300 },
  "extraction-running": STATE,
  "machine-on": STATE,
  "laser-on": STATE,
  "lid-open": STATE,
  "foot-switch": STATE,
};

const DEFAULT_EXPECTED_EVERY_S = 2;

/** Three readings may be missed before a channel is stale, and a fast channel is given five seconds of grace. */
function defaultStaleAfterS(expectedEveryS: number): number {
  return Math.max(3 * expectedEveryS, expectedEveryS + 5);
}

/**
 * Fills in what the configuration leaves out, by the kind of the channel, and freezes the result throughout.
 * @throws AppError `config-invalid` where the entry contradicts its kind: a unit the kind does not have, a calibration or
 * a valid range for a state, `running_at` for anything but an extraction measurement, or a channel that would go stale
 * before its next reading is due
 */
export function defineChannel(entry: ChannelEntry): ChannelDefinition {
  const kind = CHANNEL_KINDS[entry.kind];
  const defaults = DEFAULTS[entry.kind];
  const refuse = (key: keyof ChannelEntry, expected: string): never => {
    throw new AppError("config-invalid", `Channel "${entry.id}", ${key}: ${expected}.`, [
      { path: `channels.${entry.id}.${key}`, expected },
    ]);
  };

  const unit = entry.unit ?? kind.unit;
  if (!unitFits(entry.kind, unit)) refuse("unit", `a channel of kind ${entry.kind} is in ${kind.unit}`);
  if (kind.form === "state") {
    if (entry.calibration !== undefined) refuse("calibration", "none: this channel is either on or off");
    if (entry.valid !== undefined) refuse("valid", "none: this channel is either on or off");
  }
  if (entry.running_at !== undefined && defaults.runningAt === null) {
    refuse("running_at", "none: it is for air speed, pressure and fan speed of the extraction");
  }
  const expectedEveryS = entry.expected_every_s ?? DEFAULT_EXPECTED_EVERY_S;
  const staleAfterS = entry.stale_after_s ?? defaultStaleAfterS(expectedEveryS);
  if (staleAfterS <= expectedEveryS) {
    refuse("stale_after_s", `more than the ${expectedEveryS} s between readings`);
  }

  return Object.freeze({
    id: entry.id,
    name: entry.name ?? kind.label,
    kind: entry.kind,
    unit,
    source: entry.source,
    point: entry.point ?? null,
    calibration: entry.calibration === undefined ? null : frozenCalibration(entry.calibration),
    valid: Object.freeze([...(entry.valid ?? defaults.valid)] as [number, number]),
    resolution: entry.resolution ?? defaults.resolution,
    expectedEveryS,
    staleAfterS,
    runningAt: entry.running_at ?? defaults.runningAt,
  });
}

/** A copy, so that freezing does not reach into the parsed configuration of the caller. */
function frozenCalibration(calibration: Calibration): Calibration {
  if ("offset" in calibration) return Object.freeze({ offset: calibration.offset });
  const points = calibration.points.map(([said, truth]) => Object.freeze([said, truth]) as [number, number]);
  return Object.freeze({ points: Object.freeze(points) as [number, number][] });
}
