import { type RestartCause, restartCauseOf } from "../../model/source.js";

/** Lines that may be missing before one and it still follows on the one before: a wider gap is a board that began anew. */
export const MAX_GAP = 1000;

/** How far one line's number is from the one before it; numbers are of 16 bits and go back to 0 after 65535. */
export function stepOf(before: number, now: number): number {
  return (now - before) & 0xffff;
}

/**
 * Tells the starts of a board apart, from the lines that carry the cause of the last one: it is a new start where the numbering
 * does not go on from the line before. What was counted stays over an opening of the port, which most boards begin anew at.
 */
export class RestartWatch {
  #sequence: number | null = null;
  #saidCause = false;

  /**
   * @param word the cause that a line carries, null without one @param sequence its number, null without one
   * @returns the cause of a start that no line told of before
   */
  look(word: string | null, sequence: number | null): RestartCause | null {
    const follows =
      this.#sequence === null || sequence === null ? this.#saidCause : follow(this.#sequence, sequence);
    this.#sequence = sequence ?? this.#sequence;
    this.#saidCause = word !== null;
    return word === null || follows ? null : restartCauseOf(word);
  }
}

function follow(before: number, now: number): boolean {
  const step = stepOf(before, now);
  return step >= 1 && step <= MAX_GAP;
}
