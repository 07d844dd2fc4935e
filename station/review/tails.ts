/**
 * The regularised incomplete beta function by its continued fraction: M. Abramowitz and I. Stegun, Handbook of Mathematical
 * Functions, 26.5.8, worked out as by W. J. Lentz (1976; both from memory).
 * @param x 0 to 1
 */
export function betaBelow(x: number, a: number, b: number): number {
  if (x <= 0) return 0;
  if (x >= 1) return 1;
  // The fraction is quick on this side of the middle.
  if (x > (a + 1) / (a + b + 2)) return 1 - betaBelow(1 - x, b, a);
  const front = Math.exp(logGamma(a + b) - logGamma(a) - logGamma(b) + a * Math.log(x) + b * Math.log1p(-x));
  let c = 1;
  let d = 1 / nonZero(1 - ((a + b) * x) / (a + 1));
  let fraction = d;
  for (let m = 1; m <= MOST_TERMS; m++) {
    const even = (m * (b - m) * x) / ((a + 2 * m - 1) * (a + 2 * m));
    const odd = (-(a + m) * (a + b + m) * x) / ((a + 2 * m) * (a + 2 * m + 1));
    let step = 1;
    for (const term of [even, odd]) {
      d = 1 / nonZero(1 + term * d);
      c = nonZero(1 + term / c);
      step = c * d;
      fraction *= step;
    }
    if (Math.abs(step - 1) < 1e-16) break;
  }
  return (front * fraction) / a;
}

const MOST_TERMS = 1000;

function nonZero(value: number): number {
  return Math.abs(value) < 1e-300 ? 1e-300 : value;
}

/** C. Lanczos's series, 1964, with P. Godfrey's coefficients for g = 7 and nine terms, 2001 (both from memory); x above 0. */
function logGamma(x: number): number {
  if (x < 0.5) return Math.log(Math.PI / Math.sin(Math.PI * x)) - logGamma(1 - x);
  const shifted = x - 1;
  let sum = LANCZOS[0] as number;
  for (let i = 1; i < LANCZOS.length; i++) sum += (LANCZOS[i] as number) / (shifted + i);
  const t = shifted + LANCZOS.length - 1.5;
  return 0.5 * Math.log(2 * Math.PI) + (shifted + 0.5) * Math.log(t) - t + Math.log(sum);
}

const LANCZOS = [
  0.999_999_999_999_809_93, 676.520_368_121_885_1, -1_259.139_216_722_402_8, 771.323_428_777_653_13,
  -176.615_029_162_140_59, 12.507_343_278_686_905, -0.138_571_095_265_720_12, 9.984_369_578_019_571_6e-6,
  1.505_632_735_149_311_6e-7,
];

/** How often |t| is so much and more, with so many degrees of freedom (above 0). */
export function studentTails(t: number, freedom: number): number {
  return betaBelow(freedom / (freedom + t * t), freedom / 2, 0.5);
}

/** How often F is so much and more. @param of degrees of freedom above and below the line */
export function fTail(f: number, above: number, below: number): number {
  return f <= 0 ? 1 : betaBelow(below / (below + above * f), below / 2, above / 2);
}
