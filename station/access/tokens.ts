import { createHash, randomBytes } from "node:crypto";

/** 256 bits: nobody guesses it, so that its plain SHA-256 is enough to know it by. */
const TOKEN_BYTES = 32;
const TOKEN = /^[A-Za-z0-9_-]{43}$/;

/** A secret to be handed out once; the station keeps its sum alone. */
export function newToken(): string {
  return randomBytes(TOKEN_BYTES).toString("base64url");
}

/** By which a token is known; null for what can be none. */
export function sumOfToken(token: string | null | undefined): string | null {
  if (token === null || token === undefined || !TOKEN.test(token)) return null;
  return createHash("sha256").update(token).digest("base64url");
}
