/** A sentence of the station whose numbers stay on one line with their units. */
export function unbroken(sentence: string): string {
  return sentence.replace(/(\d) (?=°|%|(?:min|s|h|m\/s|L\/min|1\/min|Pa|mm)(?![\w/]))/g, "$1\u00a0");
}
