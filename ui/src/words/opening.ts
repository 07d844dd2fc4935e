/**
 * A sentence of the station without the opening that already stands over it as a heading: under "Not fit to cut",
 * "Not fit to cut: extraction is stopped." is "Extraction is stopped.". Any other sentence is left as it is.
 */
export function afterOpening(sentence: string, opening: string): string {
  const start = `${opening}: `;
  if (!sentence.toLowerCase().startsWith(start.toLowerCase())) return sentence;
  const rest = sentence.slice(start.length);
  return rest.charAt(0).toUpperCase() + rest.slice(1);
}
