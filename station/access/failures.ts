/** Addresses that are told of by themselves in one summary. */
const MOST_ADDRESSES = 20;

export interface FailedTries {
  readonly address: string;
  /** What was tried, such as "sign-in". */
  readonly what: string;
  readonly count: number;
}

export interface Failures {
  /** @returns true for the first since the last summary, which is told of at once */
  failed(address: string, what: string): boolean;
  /** What has failed since the last summary and has not been told of yet. */
  summary(): readonly FailedTries[];
}

/** Ten thousand tries must not become ten thousand lines: the first of an address is told of, and then a number a minute. */
export function createFailures(): Failures {
  let counts = new Map<string, FailedTries>();
  return {
    failed(address, what) {
      const known = counts.get(`${what} ${address}`);
      const place = known !== undefined || counts.size < MOST_ADDRESSES ? address : "more addresses";
      const key = `${what} ${place}`;
      const count = counts.get(key)?.count ?? -1;
      counts.set(key, { address: place, what, count: count + 1 });
      return count === -1;
    },
    summary() {
      const told = [...counts.values()].filter(({ count }) => count > 0);
      counts = new Map();
      return told;
    },
  };
}
