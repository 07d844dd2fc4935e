import { placeOf } from "../access/place.js";

/** Addresses that are remembered; of more, those go that asked longest ago. */
const MOST_ADDRESSES = 2000;

export interface Rates {
  /** Whether this address may ask once more now. @param mono milliseconds */
  allow(address: string, mono: number): boolean;
}

/** A bucket of tokens for each address: `burst` at once, then `perSecond` on and on. */
export function createRates(burst: number, perSecond: number): Rates {
  const buckets = new Map<string, { readonly tokens: number; readonly mono: number }>();
  return {
    allow(address, mono) {
      const key = placeOf(address);
      const before = buckets.get(key) ?? { tokens: burst, mono };
      const refilled = Math.min(burst, before.tokens + ((mono - before.mono) / 1000) * perSecond);
      const allowed = refilled >= 1;
      buckets.delete(key);
      buckets.set(key, { tokens: allowed ? refilled - 1 : refilled, mono });
      for (const oldest of buckets.keys()) {
        if (buckets.size <= MOST_ADDRESSES) break;
        buckets.delete(oldest);
      }
      return allowed;
    },
  };
}
