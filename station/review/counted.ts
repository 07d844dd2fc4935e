/** "1 run", "2 runs". @param piece a word that takes an s for more than one */
export function counted(n: number, piece: string): string {
  return `${n} ${piece}${n === 1 ? "" : "s"}`;
}
