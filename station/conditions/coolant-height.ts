import { BINS_A_MINUTE, type CoolantBin } from "./coolant-bins.js";
import type { CoolantRange } from "./coolant-trend.js";

/** How high the water stood of late without leaving its range: so high its chiller lets it rise. */
export interface CoolantHeight {
  /** The next stretch of the coolant's past. */
  push(bin: Pick<CoolantBin, "value">): void;
  /**
   * The highest of the hour before the last five minutes, °C. Null where less than twenty minutes of it are known, or the water was above
   * its range within the hour: what the chiller has let happen once says nothing of where it turns the water.
   */
  usual(): number | null;
}

const PAST = 60 * BINS_A_MINUTE;
/** The newest are the climb itself. At 0.06 °C a minute and more it leaves them behind, whatever it is held against. */
const CLIMB = 5 * BINS_A_MINUTE;
/** A chiller that rests takes a quarter of an hour to come round (common practice, no source). */
const LEAST = 20 * BINS_A_MINUTE;

export function createCoolantHeight({ high }: Pick<CoolantRange, "high">): CoolantHeight {
  const values: (number | null)[] = [];
  let usual: number | null = null;
  return {
    push({ value }) {
      values.push(value);
      if (values.length > PAST) values.shift();
      const known = values.filter((each) => each !== null);
      const before = values.slice(0, -CLIMB).filter((each) => each !== null);
      const leftIt = known.some((each) => each > high);
      usual = leftIt || before.length < LEAST ? null : Math.max(...before);
    },
    usual: () => usual,
  };
}
