const ROOT_TWO_PI = Math.sqrt(2 * Math.PI);

export function normalDensity(z: number): number {
  return Math.exp((-z * z) / 2) / ROOT_TWO_PI;
}

/** The share of a standard normal below z: M. Abramowitz and I. Stegun, Handbook of Mathematical Functions, 26.2.11 and 26.2.14. */
export function normalBelow(z: number): number {
  const size = Math.abs(z);
  if (size > 38) return z < 0 ? 0 : 1;
  if (size > 4) {
    let fraction = size;
    for (let k = 60; k >= 1; k--) fraction = size + k / fraction;
    const tail = normalDensity(size) / fraction;
    return z < 0 ? tail : 1 - tail;
  }
  let term = z;
  let sum = z;
  for (let k = 1; Math.abs(term) > 1e-17; k++) {
    term *= (z * z) / (2 * k + 1);
    sum += term;
  }
  return 0.5 + normalDensity(z) * sum;
}

/** @param share above 0 and below 1 */
export function normalQuantile(share: number): number {
  let low = -38;
  let high = 38;
  for (let i = 0; i < 60; i++) {
    const middle = (low + high) / 2;
    if (normalBelow(middle) < share) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}
