import type { Role } from "../model/access.js";
import { newToken, sumOfToken } from "./tokens.js";

export const PAIRING_MS = 120_000;
/** More at once are not needed by anybody who has one phone in hand. */
const MOST_PAIRINGS = 20;

export interface Pairing {
  readonly role: Role;
  /** Whose screen showed it; null for a screen without a person. */
  readonly person: string | null;
}

export interface Pairings {
  /** @returns the token, which is not kept */
  offer(pairing: Pairing, mono: number): string;
  /** Uses the token up; null where it is none, was used, or is too old. */
  take(token: string, mono: number): Pairing | null;
  /** Nothing that was offered counts any longer. */
  forget(): void;
}

/** Tokens that let one phone in, once, within two minutes. */
export function createPairings(): Pairings {
  const offered = new Map<string, Pairing & { readonly endsMono: number }>();
  return {
    offer(pairing, mono) {
      for (const [sum, { endsMono }] of offered) if (endsMono <= mono) offered.delete(sum);
      for (const sum of offered.keys()) {
        if (offered.size < MOST_PAIRINGS) break;
        offered.delete(sum);
      }
      const token = newToken();
      offered.set(sumOfToken(token) ?? "", { ...pairing, endsMono: mono + PAIRING_MS });
      return token;
    },
    take(token, mono) {
      const sum = sumOfToken(token);
      const found = sum === null ? undefined : offered.get(sum);
      if (sum === null || found === undefined) return null;
      offered.delete(sum);
      return found.endsMono <= mono ? null : { role: found.role, person: found.person };
    },
    forget: () => offered.clear(),
  };
}
