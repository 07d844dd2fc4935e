/**
 * Of what was said to be wrong with a form that which still is, in the words for what stands there now.
 * @param told what was said, by field
 * @param now what is wrong at this moment
 */
export function stillWrong(
  told: ReadonlyMap<string, string>,
  now: ReadonlyMap<string, string>,
): ReadonlyMap<string, string> {
  return new Map([...now].filter(([field]) => told.has(field)));
}
