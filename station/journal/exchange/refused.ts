/** Why a file is not imported: where, what was found and what was expected there. */
export class Refused extends Error {
  override readonly name = "Refused";
  readonly line: number;

  constructor(line: number, found: string, expected: string) {
    super(`line ${line}: found ${found}; expected ${expected}`);
    this.line = line;
  }
}

const LONGEST_SHOWN = 60;

/** A piece of a file, as it is named in a refusal. */
export function named(text: string): string {
  if (text === "") return "nothing";
  return JSON.stringify(text.length > LONGEST_SHOWN ? `${text.slice(0, LONGEST_SHOWN)}...` : text);
}
