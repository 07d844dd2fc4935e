/** A sealed group as it is looked at. */
export interface DatedGroup {
  /** Of its latest reading, by the wall clock as that was last set in the same boot; milliseconds. */
  readonly dated: number;
}

/**
 * Which groups are old, from their order: groups are given as they were written, and each is at least as old as any that
 * was written after it. A group by itself may be dated wrongly, for a Pi without a battery clock begins in the past until
 * its clock is set; so it counts as old once a later one is, and that one is not dated back behind any before it.
 */
export interface OldGroups<G extends DatedGroup> {
  /**
   * Takes the next group in.
   * @returns those that are known to be old by it; null where it is young itself: it is not taken in, nor is anything after
   * it to be, until the moment has moved on
   */
  take(group: G, beforeWall: number): G[] | null;
}

/** @param earliest before this moment no clock was right: there was no station yet */
export function createOldGroups<G extends DatedGroup>(earliest: number): OldGroups<G> {
  let latest = earliest;
  let waiting: G[] = [];
  return {
    take(group, beforeWall) {
      if (group.dated >= beforeWall) return null;
      const old = group.dated >= latest ? waiting : [];
      if (old === waiting) waiting = [];
      latest = Math.max(latest, group.dated);
      waiting.push(group);
      return old;
    },
  };
}
