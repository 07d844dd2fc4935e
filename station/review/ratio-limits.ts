import type { LevelLimits } from "./level-limits.js";

/**
 * Limits of the ratio of two figures from each one's own limits, which need not lie evenly about it: G. Y. Zou and A. Donner,
 * "Construction of confidence limits about effect measures", Statistics in Medicine 27, 2008, on the logarithm (formula from
 * memory). The two are to be known independently of each other.
 * @param of above 0 throughout
 * @param over above 0 throughout
 * @returns null for each that a missing limit leaves open
 */
export function ratioLimits(of: LevelLimits, over: LevelLimits): LevelLimits {
  const [a, b] = [log(of), log(over)];
  if (a.estimate === null || b.estimate === null) return { estimate: null, lower: null, upper: null };
  const middle = a.estimate - b.estimate;
  const reach = (one: number | null, other: number | null) =>
    one === null || other === null ? null : Math.hypot(one, other);
  const away = (limit: number | null, estimate: number) => (limit === null ? null : limit - estimate);
  const down = reach(away(a.lower, a.estimate), away(b.upper, b.estimate));
  const up = reach(away(a.upper, a.estimate), away(b.lower, b.estimate));
  return {
    estimate: Math.exp(middle),
    lower: down === null ? null : Math.exp(middle - down),
    upper: up === null ? null : Math.exp(middle + up),
  };
}

function log({ estimate, lower, upper }: LevelLimits): LevelLimits {
  const of = (value: number | null) => {
    if (value !== null && !(value > 0)) throw new RangeError("A ratio is of figures above 0.");
    return value === null ? null : Math.log(value);
  };
  return { estimate: of(estimate), lower: of(lower), upper: of(upper) };
}
