import type { Instant } from "./instant.js";
import type { Unit } from "./quantity.js";

/** Quality of a value, in the words of IEC 62541 (OPC UA) part 8. */
export type Quality = "good" | "uncertain" | "bad";

/**
 * Why a reading is not good. Stored with it, so the list only ever grows.
 * `text` is for people; `uncertain` reasons keep their value, `bad` ones have none.
 */
export const REASONS = {
  missing: { quality: "bad", text: "the sensor is not there" },
  "no-permission": { quality: "bad", text: "the station is not allowed to open it" },
  busy: { quality: "bad", text: "another program holds it" },
  unplugged: { quality: "bad", text: "it was unplugged" },
  silent: { quality: "bad", text: "it has stopped reporting" },
  "read-error": { quality: "bad", text: "reading it failed" },
  "timed-out": { quality: "bad", text: "it did not answer in time" },
  garbled: { quality: "bad", text: "what it sent could not be understood" },
  "crc-failed": { quality: "bad", text: "its checksum was wrong" },
  empty: { quality: "bad", text: "it returned nothing" },
  "all-zeros": {
    quality: "bad",
    text: "it returned only zeros: the data line is shorted or the probe has no power",
  },
  "power-on-value": { quality: "bad", text: "it returned its power-on value, not a measurement" },
  "wire-missing": { quality: "bad", text: "no signal at all: the wire may be off" },
  "out-of-valid-range": { quality: "bad", text: "it is outside what this sensor can measure" },
  "wrong-unit": { quality: "bad", text: "it came in a unit this channel does not take" },
  "not-a-number": { quality: "bad", text: "it is not a number" },
  stale: { quality: "bad", text: "no new reading within the expected interval" },
  "never-read": { quality: "bad", text: "nothing has been read yet" },
  "too-few-readings": { quality: "bad", text: "there are too few readings yet" },
  "beyond-formula": { quality: "bad", text: "it is outside the range the formula holds for" },
  "beyond-calibration": { quality: "uncertain", text: "it is beyond the calibrated points" },
  "sudden-jump": { quality: "uncertain", text: "it jumped faster than the thing measured can change" },
  "edges-lost": { quality: "uncertain", text: "some pulses may have been missed" },
  "sender-marked": { quality: "uncertain", text: "the board that sent it marked it as doubtful" },
} as const satisfies Record<string, { quality: Quality; text: string }>;

export type Reason = keyof typeof REASONS;

/** What a driver hands over, before calibration: one value of one point of one source, or why there is none. */
export type RawReading =
  | {
      readonly source: string;
      /** The source's own name for what was read: `temperature`, `humidity`, `fan`, a SenML record name, ... */
      readonly point: string;
      readonly at: Instant;
      /** In `unit`; a state is 1 or 0. */
      readonly value: number;
      readonly unit: Unit;
      /** Set where the driver itself doubts the value. */
      readonly doubt?: Reason;
    }
  | { readonly source: string; readonly point: string; readonly at: Instant; readonly fault: Reason };

/** A judged value of a channel. `value` is null exactly when `quality` is bad; `reason` is null exactly when it is good. */
export interface Reading {
  readonly channel: string;
  readonly at: Instant;
  readonly value: number | null;
  readonly quality: Quality;
  readonly reason: Reason | null;
}
