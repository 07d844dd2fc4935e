/**
 * Codes of specimens: short enough to be engraved beside the cut and read with wet glasses on. No two of the letters and digits
 * look alike in a single-line font: none of 0 O D Q, 1 I L, 2 Z, 5 S, 8 B, 6 G, U V. They are nineteen, which is a prime.
 */
export const CODE_ALPHABET = "ACEFHJKMNPRTWXY3479";
const RADIX = 2;
/** Without the check character: 130,321 codes. */
const LETTERS = 4;
const LENGTH = LETTERS + 1;

/**
 * The check character of a pure system of ISO/IEC 7064:2003 (from memory), with one character: the sum of every character's number by powers of
 * the radix, its own included, leaves 1 modulo the size of the alphabet. Finds every wrong character and, for a prime size of
 * which the radix is a primitive root, every two neighbours in each other's place.
 * @throws RangeError for a character that is not in the alphabet
 */
export function checkCharacter(text: string, alphabet: string, radix: number): string {
  const modulus = alphabet.length;
  let sum = 0;
  for (const character of text) {
    const number = alphabet.indexOf(character);
    if (number === -1) throw new RangeError(`"${character}" is not one of ${alphabet}.`);
    sum = ((sum + number) * radix) % modulus;
  }
  return alphabet[(modulus + 1 - sum) % modulus] as string;
}

/** A code that is not taken. @param random uniform from 0 to 1 @throws RangeError where nearly all are taken */
export function newCode(random: () => number, taken: (code: string) => boolean): string {
  for (let tries = 0; tries < 1000; tries++) {
    let letters = "";
    for (let i = 0; i < LETTERS; i++) letters += CODE_ALPHABET[Math.floor(random() * CODE_ALPHABET.length)];
    const code = letters + checkCharacter(letters, CODE_ALPHABET, RADIX);
    if (!taken(code)) return code;
  }
  throw new RangeError("There is no code left for another specimen.");
}

export type ReadCode = { readonly code: string } | { readonly wrong: string };

/** What somebody typed, or a camera read: in small letters too, and with spaces or dashes between. Says in words what is wrong. */
export function readCode(typed: string): ReadCode {
  const code = typed.toUpperCase().replace(/[\s-]/g, "");
  const strange = [...code].find((character) => !CODE_ALPHABET.includes(character));
  if (strange !== undefined) return { wrong: `No code has a "${strange}" in it: look at it again.` };
  if (code.length !== LENGTH) return { wrong: `A code has ${LENGTH} characters, this has ${code.length}.` };
  const letters = code.slice(0, LETTERS);
  if (checkCharacter(letters, CODE_ALPHABET, RADIX) !== code[LETTERS]) {
    return {
      wrong:
        "One of the characters is not right, or two of them are in each other's place: look at it again.",
    };
  }
  return { code };
}
