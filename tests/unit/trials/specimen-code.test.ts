import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { createRandom } from "../../../station/random.js";
import { CODE_ALPHABET, checkCharacter, newCode, readCode } from "../../../station/trials/specimen-code.js";

const free = () => false;
const codes = fc.integer().map((seed) => newCode(createRandom(seed), free));

describe("check characters", () => {
  it.each([
    // ISO/IEC 7064:2003, MOD 11-2, as the documentation of the Rust crate iso-7064 has it.
    ["079", "X"],
    // The example of an identifier in ORCID's documentation, which is MOD 11-2 (from memory): 0000-0002-1825-0097.
    ["000000021825009", "7"],
  ])("of ISO/IEC 7064 MOD 11-2: %s has %s", (text, check) => {
    expect(checkCharacter(text, "0123456789X", 2)).toBe(check);
  });
});

describe("a code", () => {
  it("reads back, in small letters and with dashes too", () => {
    fc.assert(
      fc.property(codes, (code) => {
        expect(readCode(code)).toEqual({ code });
        expect(readCode(` ${code.slice(0, 2).toLowerCase()}-${code.slice(2).toLowerCase()} `)).toEqual({
          code,
        });
      }),
    );
  });

  it("with any one character wrong, or any two exchanged with one between them or none, is refused", () => {
    fc.assert(
      fc.property(codes, fc.nat(4), fc.constantFrom(...CODE_ALPHABET), (code, at, character) => {
        const other = code.slice(0, at) + character + code.slice(at + 1);
        if (other !== code) expect(readCode(other)).toHaveProperty("wrong");
        for (const apart of [1, 2]) {
          const swapped = [...code];
          [swapped[at], swapped[at + apart]] = [swapped[at + apart] ?? "", swapped[at] as string];
          const text = swapped.join("");
          if (at + apart < code.length && text !== code) expect(readCode(text)).toHaveProperty("wrong");
        }
      }),
      { numRuns: 500 },
    );
  });

  it("has no characters that look alike", () => {
    expect(new Set(CODE_ALPHABET).size).toBe(19);
    for (const alike of ["0ODQ", "1IL", "2Z", "5S", "8B", "6G", "UV"])
      expect([...alike].filter((character) => CODE_ALPHABET.includes(character)).length).toBeLessThan(2);
  });

  it("says what is wrong with what was typed", () => {
    expect(readCode("A0CEF")).toEqual({ wrong: 'No code has a "0" in it: look at it again.' });
    expect(readCode("ACE")).toEqual({ wrong: "A code has 5 characters, this has 3." });
  });

  it("is none that is taken, and there is an end to them", () => {
    const taken = new Set<string>();
    const random = createRandom(7);
    for (let i = 0; i < 2000; i++) {
      const code = newCode(random, (each) => taken.has(each));
      expect(taken.has(code)).toBe(false);
      taken.add(code);
    }
    expect(() => newCode(random, () => true)).toThrow(/no code left/);
  });
});
