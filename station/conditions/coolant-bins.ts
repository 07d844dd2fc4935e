import type { ChannelDefinition } from "../model/channel.js";
import type { Reading } from "../model/reading.js";

/** One stretch of the coolant's past, `BIN_S` long. */
export interface CoolantBin {
  /** Mean of the coolant at the inlet, °C; null where nothing was measured. */
  readonly value: number | null;
  /** Share of the stretch during which the laser was on, 0 to 1; 0 where no sensor tells. */
  readonly duty: number;
}

/** Seconds that one bin holds. The stretches are fixed in time, so that a replay that begins later makes the same ones. */
export const BIN_S = 10;
export const BINS_A_MINUTE = 60 / BIN_S;
/** The past that forecasts look at: three hours. */
export const MOST_BINS = 3 * 60 * BINS_A_MINUTE;

export interface CoolantBins {
  /** Takes a reading in; those of other channels are passed over. */
  take(reading: Reading): void;
}

const MS = BIN_S * 1000;

/**
 * Makes bins of readings as they pass, by the monotonic clock, and hands each on once it is full. A gap is handed on as bins without
 * a value, as many as it was long, up to the whole past; a clock that went back (another boot) counts as such a gap.
 */
export function createCoolantBins(
  definitions: readonly ChannelDefinition[],
  push: (bin: CoolantBin) => void,
): CoolantBins {
  const coolant = definitions.find(({ kind }) => kind === "coolant-inlet")?.id;
  const laser = definitions.find(({ kind }) => kind === "laser-on")?.id;
  let slot: number | null = null;
  let sum = 0;
  let count = 0;
  let on = false;
  /** When the laser's state was last counted, and how long it was on within the slot, ms. */
  let countedMono = 0;
  let onMs = 0;

  const countTo = (mono: number) => {
    if (on && mono > countedMono) onMs += mono - countedMono;
    countedMono = mono;
  };
  const close = () => {
    push({ value: count === 0 ? null : sum / count, duty: Math.min(1, onMs / MS) });
    sum = count = onMs = 0;
  };
  const moveTo = (mono: number) => {
    const next = Math.floor(mono / MS);
    if (slot === null || next < slot || next - slot > MOST_BINS) {
      if (slot !== null) for (let i = 0; i < MOST_BINS; i += 1) push({ value: null, duty: 0 });
      sum = count = onMs = 0;
      slot = next;
      countedMono = mono;
    }
    while (slot < next) {
      countTo((slot + 1) * MS);
      close();
      slot += 1;
    }
    countTo(mono);
  };

  return {
    take({ channel, at, value, reason }) {
      if (channel !== coolant && channel !== laser) return;
      moveTo(at.mono);
      if (channel === laser) on = value === 1;
      // As in the trend: a value that leapt is most likely a fault of the wire.
      else if (value !== null && reason !== "sudden-jump") {
        sum += value;
        count += 1;
      }
    },
  };
}
