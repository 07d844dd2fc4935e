import type { Request, RequestHandler, Response } from "express";
import type { Access } from "../access/access.js";
import type { Caller } from "../access/caller.js";
import { deedOf, type NewDeed, type TellDeed } from "../access/deeds.js";
import { type Permission, permissionFor } from "../access/permissions.js";
import { AppError } from "../errors.js";
import { mayAs, type Role } from "../model/access.js";
import { tokenIn } from "./cookie.js";
import type { OriginOf } from "./origin-of.js";
import { foreignName, hostOf, type OwnNames } from "./own-names.js";
import { noSuchAddress } from "./problem.js";
import type { Rates } from "./rates.js";
import { isOwnRequest, isSafe, otherSite } from "./same-site.js";

/** What stands between whoever asks and what is asked for. */
export interface Gate {
  readonly access: Access;
  readonly names: OwnNames;
  readonly originOf: OriginOf;
  readonly rates: Rates;
  readonly tell: TellDeed;
  mono(): number;
}

/** A page of the station sends this, and no form or picture of another site can. */
export const PAGE_HEADER = "station-page";

const callers = new WeakMap<object, Caller>();

/** Who asks, as it was when the request came in. */
export function callerOf(response: Response): Caller {
  const caller = callers.get(response);
  if (caller === undefined) throw new Error("Nobody was let in with this request.");
  return caller;
}

/** The name of this machine, and no more than a fair share for one address. */
export function takeOwnNamesOnly({ names, rates, mono, originOf }: Gate): RequestHandler {
  return (request, _response, next) => {
    const { address, here } = originOf(request);
    const host = hostOf(request);
    if (!names.has(host)) next(foreignName(host));
    else if (!here && !rates.allow(address, mono())) {
      next(
        new AppError(
          "too-many-requests",
          "This address asks too much at once. Wait a few seconds, then try again.",
        ),
      );
    } else next();
  };
}

/** Only what the station's own pages and programs ask, from whoever may ask it; and tells what they did. */
export function letIn({ access, tell, originOf }: Gate): RequestHandler {
  return (request, response, next) => {
    const safe = isSafe(request.method);
    if (!isOwnRequest(request.headers, !safe)) throw otherSite();
    const caller = access.caller(tokenIn(request), originOf(request));
    if (!safe && caller.session !== null && request.headers[PAGE_HEADER] === undefined) throw otherSite();
    callers.set(response, caller);
    const permission = permissionFor(request.method, request.path);
    // What stands in no table is refused, whatever may be there.
    if (permission === null) {
      if (caller.role === null) throw signInNeeded();
      noSuchAddress(request, response, next);
      return;
    }
    const refusal = refusalFor(permission, caller, access);
    if (refusal !== null) throw refusal;
    if (isDeed(permission)) {
      response.on("close", () => tell(told(request, response, caller, permission)));
    }
    if (!safe) access.acted(caller);
    next();
  };
}

function refusalFor({ least }: Permission, { role }: Caller, access: Access): AppError | null {
  if (least === "anybody") return null;
  if (role === null) return signInNeeded();
  return mayAs(role, least) ? null : notAllowed(least, access);
}

export function signInNeeded(): AppError {
  return new AppError(
    "sign-in-needed",
    "Sign in to see this, or have your phone paired at a signed-in screen.",
  );
}

/** To somebody who may look. */
export function notAllowed(least: Role, access: Pick<Access, "refusal">): AppError {
  const nobody = access.refusal();
  if (nobody !== null) return nobody;
  return new AppError(
    "not-allowed",
    least === "owner"
      ? "Only an owner may do this: sign in with an owner's passphrase."
      : "This screen only looks. Enter the PIN, or sign in as somebody who operates.",
  );
}

/** What changes something, and what carries all there is out of the door. The routes of access tell their own, better. */
function isDeed({ method, route, least }: Permission): boolean {
  if (route.startsWith("/access")) return false;
  return method === "GET" ? route.startsWith("/exports/") : least === "operator" || least === "owner";
}

function told(request: Request, response: Response, caller: Caller, { method, route }: Permission): NewDeed {
  const outcome = response.writableFinished ? String(response.statusCode) : "broken off";
  const path = request.originalUrl.replace(/^\/api|\?.*$/g, "").slice(0, 200);
  return deedOf(caller, `${method} ${route}`, path, outcome);
}

/**
 * Whoever has signed in signs with that name: what a page says of itself counts only where nobody has.
 * Behind the reading of bodies.
 */
export const signWithOwnName: RequestHandler = (request, response, next) => {
  const { session, who } = callerOf(response);
  if (session === null || who === null) {
    next();
    return;
  }
  sign(request.body, who);
  if (typeof request.query.by === "string") {
    // Express reads the query anew each time it is asked for.
    Object.defineProperty(request, "query", { value: { ...request.query, by: who } });
  }
  next();
};

function sign(body: unknown, who: string): void {
  if (typeof body !== "object" || body === null) return;
  if (Object.hasOwn(body, "by")) (body as { by: unknown }).by = who;
  const { entries } = body as { entries?: unknown };
  if (Array.isArray(entries)) for (const entry of entries) sign(entry, who);
}

/** Metrics go to the station itself, to whoever has signed in, and to a program with the token made for it (RFC 6750). */
export function mayReadMetrics({ access, originOf }: Gate): RequestHandler {
  return (request, response, next) => {
    const bearer = /^Bearer ([\w-]+)$/i.exec(request.headers.authorization ?? "")?.[1];
    const scraped = bearer !== undefined && access.mayScrape(bearer);
    if (scraped || access.caller(tokenIn(request), originOf(request)).role !== null) next();
    else {
      response.set("WWW-Authenticate", "Bearer");
      next(
        new AppError(
          "sign-in-needed",
          "Metrics want a token from the page Access: Authorization: Bearer TOKEN.",
        ),
      );
    }
  };
}
