/** What a number in a form may be, as far as the page can tell: the same that the station asks for. */
export interface Limits {
  /** It is more than this. */
  readonly above?: number;
  readonly least?: number;
  readonly most?: number;
  readonly whole?: true;
}

/** "a whole number from 1 to 20", "a number above 0, at most 100": what was expected, for people. */
export function limitWords({ above, least, most, whole }: Limits): string {
  const number = whole ? "a whole number" : "a number";
  if (least !== undefined && most !== undefined) return `${number} from ${least} to ${most}`;
  const ends = [
    ...(above === undefined ? [] : [`above ${above}`]),
    ...(least === undefined ? [] : [`at least ${least}`]),
    ...(most === undefined ? [] : [`at most ${most}`]),
  ];
  return [number, ends.join(", ")].filter((words) => words !== "").join(" ");
}

export function within(value: number, { above, least, most, whole }: Limits): boolean {
  return (
    (above === undefined || value > above) &&
    (least === undefined || value >= least) &&
    (most === undefined || value <= most) &&
    (!whole || Number.isInteger(value))
  );
}
