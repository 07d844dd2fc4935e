import type { Caller } from "../access/caller.js";
import { placeOf } from "../access/place.js";
import { createRates } from "./rates.js";

/** Pages that are open at once over one session, from one place, and from the whole network. */
export const MOST_OF_SESSION = 20;
const MOST_OF_PLACE = 48;
const MOST_OF_ALL = 400;
/** After a restart of the station all pages of a household come at once. */
const NEW_AT_ONCE = 60;
const NEW_PER_SECOND = 1;

/** The pages that are open from the network. The station's own screen is never counted, so that nobody keeps it out. */
export interface Crowd {
  /** Whether one more page may be opened now. @param mono milliseconds */
  allows(caller: Caller, mono: number): boolean;
  /** It is open. @returns what is called once, when it has gone */
  came(caller: Caller): () => void;
}

export function createCrowd(): Crowd {
  const open = new Map<string, number>();
  const rates = createRates(NEW_AT_ONCE, NEW_PER_SECOND);
  const limits = ({ session, address }: Caller): readonly (readonly [string, number])[] => [
    ["all", MOST_OF_ALL],
    [`place ${placeOf(address)}`, MOST_OF_PLACE],
    ...(session === null ? [] : [[`session ${session.id}`, MOST_OF_SESSION] as const]),
  ];
  const add = (key: string, more: number) => {
    const count = (open.get(key) ?? 0) + more;
    if (count > 0) open.set(key, count);
    else open.delete(key);
  };

  return {
    allows: (caller, mono) =>
      caller.here ||
      (rates.allow(caller.address, mono) &&
        limits(caller).every(([key, most]) => (open.get(key) ?? 0) < most)),
    came(caller) {
      const keys = caller.here ? [] : limits(caller).map(([key]) => key);
      for (const key of keys) add(key, 1);
      return () => {
        for (const key of keys) add(key, -1);
      };
    },
  };
}
