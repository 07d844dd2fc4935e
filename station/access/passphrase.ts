import { AppError } from "../errors.js";
import { LONGEST_PASSPHRASE, LONGEST_PIN, SHORTEST_PASSPHRASE, SHORTEST_PIN } from "../model/access.js";

/**
 * Length counts, and nothing is asked of which characters there are (NIST SP 800-63B-4 section 3.1.1.2, from memory).
 * @throws AppError `request-invalid`
 */
export function checkPassphrase(passphrase: string, name: string): void {
  const letters = [...passphrase.normalize("NFKC")];
  const fault =
    letters.length < SHORTEST_PASSPHRASE
      ? `at least ${SHORTEST_PASSPHRASE} characters: four words that have nothing to do with each other will do`
      : letters.length > LONGEST_PASSPHRASE
        ? `at most ${LONGEST_PASSPHRASE} characters`
        : new Set(letters).size < 5
          ? "more than a few characters over and over"
          : fold(passphrase).replaceAll(fold(name), "").length < SHORTEST_PASSPHRASE / 2
            ? "more than the name"
            : null;
  if (fault !== null) throw invalid("passphrase", fault);
}

/** @throws AppError `request-invalid` */
export function checkPin(pin: string): void {
  const digits = new RegExp(`^\\d{${SHORTEST_PIN},${LONGEST_PIN}}$`);
  const steps = new Set([...pin].slice(1).map((digit, i) => Number(digit) - Number(pin[i])));
  if (!digits.test(pin)) throw invalid("pin", `${SHORTEST_PIN} to ${LONGEST_PIN} digits`);
  // The first that anybody tries: 1111, 1234, 8765.
  const [step] = steps;
  if (steps.size === 1 && step !== undefined && Math.abs(step) <= 1)
    throw invalid("pin", "digits that are neither all the same nor in a row");
}

/** Names that differ in this only by how they are typed are one. */
export function fold(name: string): string {
  return name.normalize("NFKC").trim().toLowerCase();
}

function invalid(path: string, expected: string): AppError {
  return new AppError("request-invalid", `Expected ${expected}.`, [{ path, expected }]);
}
