import type { Stamp, StampMethod, WindowStatistics } from "../model/run.js";

/** A stamp of today as an earlier method would have frozen it. */
export function asByMethod(stamp: Stamp, method: StampMethod): Stamp {
  if (method === 2) return stamp;
  const { channels, conditions } = stamp;
  return { ...stamp, method, channels: eachWithoutSd(channels), conditions: eachWithoutSd(conditions) };
}

function eachWithoutSd<T extends Readonly<Record<string, WindowStatistics>>>(statistics: T): T {
  const entries = Object.entries(statistics).map(([id, { sd: _, ...others }]) => [id, others]);
  return Object.fromEntries(entries) as T;
}
