import type { ChannelDefinition } from "../model/channel.js";
import type { Instant } from "../model/instant.js";
import { CHANNEL_KINDS } from "../model/quantity.js";
import { type RawReading, REASONS, type Reading, type Reason } from "../model/reading.js";
import { calibrate } from "./calibrate.js";
import { unitFits } from "./units.js";

/** A reading without a value. The quality is bad whatever the reason usually carries: without a value nothing is left to doubt. */
export function badReading(channel: string, at: Instant, reason: Reason): Reading {
  return { channel, at, value: null, quality: "bad", reason };
}

/**
 * Turns what a driver handed over into a judged reading of one channel: fault, unit, number, calibration, validity, doubt,
 * in this order; the first that fails is the reason. `value` is null exactly when the quality is bad. Never throws.
 *
 * A doubt of the driver outranks the doubt about the calibration, since one reason is kept.
 */
export function judge(definition: ChannelDefinition, raw: RawReading): Reading {
  const bad = (reason: Reason): Reading => badReading(definition.id, raw.at, reason);

  if ("fault" in raw) return bad(raw.fault);
  if (!unitFits(definition.kind, raw.unit)) return bad("wrong-unit");
  if (!Number.isFinite(raw.value)) return bad("not-a-number");
  if (CHANNEL_KINDS[definition.kind].form === "state" && raw.value !== 0 && raw.value !== 1) {
    return bad("out-of-valid-range");
  }

  const { value, beyondPoints } = calibrate(definition.calibration, raw.value);
  if (!Number.isFinite(value)) return bad("not-a-number");
  const [low, high] = definition.valid;
  if (value < low || value > high) return bad("out-of-valid-range");
  if (raw.doubt !== undefined && REASONS[raw.doubt].quality === "bad") return bad(raw.doubt);

  const reason: Reason | null = raw.doubt ?? (beyondPoints ? "beyond-calibration" : null);
  // Adding zero turns -0 into 0, so that a reading and its copy from the journal are the same.
  return {
    channel: definition.id,
    at: raw.at,
    value: value + 0,
    quality: reason === null ? "good" : "uncertain",
    reason,
  };
}
