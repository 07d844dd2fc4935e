/** Uniform on [0, 1). */
export type Random = () => number;

/**
 * xoshiro128** 1.1 of D. Blackman and S. Vigna, "Scrambled linear pseudorandom number generators", ACM TOMS 47 (2021)
 * (reference from memory; the output is held against published values in the tests). It works in 32-bit words, which
 * JavaScript does exactly.
 * @param state four 32-bit words, not all zero
 * @returns a function giving the next unsigned 32-bit word
 */
export function xoshiro128starstar(state: readonly [number, number, number, number]): () => number {
  let [a, b, c, d] = state;
  return () => {
    const word = Math.imul(rotate(Math.imul(b, 5), 7), 9) >>> 0;
    const shifted = b << 9;
    c ^= a;
    d ^= b;
    b ^= c;
    a ^= d;
    c ^= shifted;
    d = rotate(d, 11);
    return word;
  };
}

/**
 * A stream of uniform numbers that depends on nothing but its key: different keys give unrelated streams.
 * @param key whole numbers, taken modulo 2³²: a seed and, after it, what the stream is for
 */
export function createRandom(...key: readonly number[]): Random {
  let hash = 0;
  for (const part of key) hash = scramble((hash + part) | 0);
  const word = () => {
    hash = (hash + WEYL) | 0;
    return scramble(hash);
  };
  // The four words come from four different inputs of a bijection, so they are never all zero.
  const next = xoshiro128starstar([word(), word(), word(), word()]);
  return () => next() / 4_294_967_296;
}

/**
 * A normal deviate of mean 0 and standard deviation 1, by the Box-Muller transform (1958). Takes exactly two numbers from
 * `random`; never beyond ±6.7, because 1 − u is at least 2⁻³².
 */
export function normal(random: Random): number {
  const radius = Math.sqrt(-2 * Math.log(1 - random()));
  return radius * Math.cos(2 * Math.PI * random());
}

/** 2³² divided by the golden ratio, odd: steps of it visit every 32-bit word once. */
const WEYL = 0x9e3779b9;

function rotate(word: number, by: number): number {
  return (word << by) | (word >>> (32 - by));
}

/** The finaliser of MurmurHash3 (A. Appleby, public domain; from memory): a bijection of 32-bit words that mixes every bit. */
function scramble(word: number): number {
  let mixed = (word + WEYL) | 0;
  mixed = Math.imul(mixed ^ (mixed >>> 16), 0x85ebca6b);
  mixed = Math.imul(mixed ^ (mixed >>> 13), 0xc2b2ae35);
  return mixed ^ (mixed >>> 16);
}
