/** A change of the rule: from this moment of the wall clock on, for so many days; null for ever. */
export interface RuleChange {
  readonly wall: number;
  readonly days: number | null;
}

/**
 * A rule that is new or shorter takes nothing away before it has stood for as long: a wrong number in the configuration is
 * seen in the log, or by `check`, and can be put right.
 */
export const GRACE_MS = 7 * 86_400_000;

export interface RuleNow {
  /** Days for which full resolution is kept at this moment; null: for ever. */
  readonly inForce: number | null;
  /** From when on the configured rule is in force by itself; null: it is. */
  readonly from: number | null;
}

/**
 * In force is the longest of the rules that stood at any time within the grace, the configured one among them.
 * @param changes oldest first; before the first of them everything was kept
 * @param now wall milliseconds
 */
export function ruleAt(changes: readonly RuleChange[], configured: number | null, now: number): RuleNow {
  const since = now - GRACE_MS;
  const before = changes.findLast(({ wall }) => wall <= since)?.days ?? null;
  const lately = changes.filter(({ wall }) => wall > since).map(({ days }) => days);
  const stood = [before, ...lately, configured];
  const inForce = stood.includes(null) ? null : Math.max(...stood.map(Number));
  if (inForce === configured) return { inForce, from: null };
  const last = changes.at(-1);
  // A change that the journal has not been told of yet is kept at the station's next start.
  const changed = last !== undefined && last.days === configured ? last.wall : now;
  return { inForce, from: changed + GRACE_MS };
}
