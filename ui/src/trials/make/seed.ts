/** A seed for the order of cutting, 0 to 4,294,967,295, which nobody chose. */
export function newSeed(): number {
  return crypto.getRandomValues(new Uint32Array(1))[0] ?? 0;
}
