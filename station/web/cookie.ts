import type { IncomingMessage } from "node:http";
import type { TLSSocket } from "node:tls";
import { LONGEST_AGE_MS } from "../access/sessions.js";

const PLAIN = "station-session";
/** Browsers take a name that begins so only over TLS, from this very host, for all of it (RFC 6265bis section 4.1.3.2). */
const SECURE = "__Host-station-session";

export function isTls(request: IncomingMessage): boolean {
  return (request.socket as TLSSocket).encrypted === true;
}

/** The token that a request carries; null where it carries none, or more than one. */
export function tokenIn(request: IncomingMessage): string | null {
  const name = isTls(request) ? SECURE : PLAIN;
  const values = (request.headers.cookie ?? "")
    .split(";")
    .map((pair) => pair.trim())
    .filter((pair) => pair.startsWith(`${name}=`))
    .map((pair) => pair.slice(name.length + 1));
  return values.length === 1 ? (values[0] ?? null) : null;
}

/** The `Set-Cookie` that gives a browser its session. No script can read it, and no other site can have it sent. */
export function cookieOf(request: IncomingMessage, token: string): string {
  return line(request, token, Math.floor(LONGEST_AGE_MS / 1000));
}

export function noCookie(request: IncomingMessage): string {
  return line(request, "", 0);
}

function line(request: IncomingMessage, value: string, maxAgeS: number): string {
  const tls = isTls(request);
  const parts = [
    `${tls ? SECURE : PLAIN}=${value}`,
    "Path=/",
    `Max-Age=${maxAgeS}`,
    "HttpOnly",
    "SameSite=Strict",
  ];
  return [...parts, ...(tls ? ["Secure"] : [])].join("; ");
}
