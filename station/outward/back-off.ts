/** All figures are this station's choice (common practice, no source). */
export const FIRST_MS = 15_000;
const LONGEST_MS = 1_800_000;
/** An urgent message is not left waiting for longer than this once its way works again. */
const LONGEST_URGENT_MS = 300_000;
/** What was not to be had rid of for so long is given up. */
export const GIVE_UP_AFTER_MS = 3 * 86_400_000;

/**
 * How long until the next try, milliseconds: doubled each time, up to half an hour, and drawn from a quarter less to a quarter
 * more, so that what failed together is not tried together.
 * @param attempts failed so far, 1 or more
 * @param drawn from 0 to 1
 */
export function pauseAfter(attempts: number, urgent: boolean, drawn: number): number {
  const longest = urgent ? LONGEST_URGENT_MS : LONGEST_MS;
  const usual = Math.min(longest, FIRST_MS * 2 ** Math.min(attempts - 1, 20));
  return Math.round(usual * (0.75 + 0.5 * drawn));
}
