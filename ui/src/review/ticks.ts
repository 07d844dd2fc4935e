/** Steps that are easily read. */
const STEPS = [1, 2, 5, 10];

/** Round numbers from one to another, no more than so many; none where the two are no numbers. */
export function axisTicks(low: number, high: number, most: number): number[] {
  const span = high - low;
  if (!Number.isFinite(span) || span < 0) return [];
  if (span === 0) return [low];
  const rough = span / Math.max(1, most);
  const power = 10 ** Math.floor(Math.log10(rough));
  const step = (STEPS.find((each) => each * power >= rough) ?? 10) * power;
  const first = Math.ceil(low / step - 1e-9);
  const last = Math.floor(high / step + 1e-9);
  // By whole numbers of steps: sums of a tenth are not exact.
  return Array.from({ length: last - first + 1 }, (_, i) => Number(((first + i) * step).toPrecision(12)));
}
