import type { IncomingHttpHeaders } from "node:http";
import { AppError } from "../errors.js";

/** What changes nothing (RFC 9110 section 9.2.1). */
export function isSafe(method: string | undefined): boolean {
  return method === "GET" || method === "HEAD" || method === "OPTIONS";
}

/**
 * Another site open in the same browser must not begin runs or acknowledge alarms here. Browsers name the page a request
 * comes from in `Origin`; a program that sends none is not a browser and has no such page.
 */
export function isOwnPage(origin: string | undefined, host: string | undefined): boolean {
  if (origin === undefined) return true;
  try {
    return new URL(origin).host === host;
  } catch {
    return false;
  }
}

/** Where the browser says of itself whose page asks (Fetch Metadata). "none" is a person who typed the address. */
function isOwnFetch(site: string | string[] | undefined): boolean {
  return site === undefined || site === "same-origin" || site === "none";
}

/**
 * A question to the station, which only its own pages and programs may ask.
 * @param written by a request that changes something, or a socket, which goes both ways
 */
export function isOwnRequest(headers: IncomingHttpHeaders, written: boolean): boolean {
  if (!isOwnFetch(headers["sec-fetch-site"])) return false;
  return !written || isOwnPage(headers.origin, headers.host);
}

export function otherSite(): AppError {
  return new AppError(
    "other-site",
    "This request comes from a page of another site, and the station takes none from there.",
  );
}
