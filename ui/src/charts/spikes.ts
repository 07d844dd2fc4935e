import type { Bucket } from "../../../station/model/now.js";

export interface Spike {
  readonly t: number;
  /** Where it stands out from, and how far it goes. */
  readonly base: number;
  readonly tip: number;
}

/**
 * The buckets whose greatest or least value stands out from both neighbours' by more than `least`. A column one pixel wide in
 * the pale ink of the spread is easily overlooked: these are drawn in full ink.
 * @param least in the unit of the values: what some pixels are worth
 */
export function spikesOf(buckets: readonly Bucket[], least: number): Spike[] {
  const spikes: Spike[] = [];
  for (let i = 0; i < buckets.length; i += 1) {
    const here = buckets[i];
    if (here === undefined || here.min === null || here.max === null) continue;
    const before = buckets[i - 1];
    const after = buckets[i + 1];
    // Not mere noise: it stands out by more than its neighbours spread.
    const enough = Math.max(least, spreadOf(before), spreadOf(after));
    const top = highest(before?.max ?? null, after?.max ?? null);
    if (top !== null && here.max - top > enough) spikes.push({ t: here.t, base: top, tip: here.max });
    const bottom = lowest(before?.min ?? null, after?.min ?? null);
    if (bottom !== null && bottom - here.min > enough)
      spikes.push({ t: here.t, base: bottom, tip: here.min });
  }
  return spikes;
}

function spreadOf(bucket: Bucket | undefined): number {
  return (bucket?.max ?? 0) - (bucket?.min ?? 0);
}

function highest(one: number | null, other: number | null): number | null {
  return one === null || other === null ? (one ?? other) : Math.max(one, other);
}

function lowest(one: number | null, other: number | null): number | null {
  return one === null || other === null ? (one ?? other) : Math.min(one, other);
}
