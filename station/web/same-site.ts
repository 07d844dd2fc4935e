import type { RequestHandler } from "express";
import { AppError } from "../errors.js";

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

export const refuseOtherSites: RequestHandler = (request, _response, next) => {
  if (request.method === "GET" || isOwnPage(request.headers.origin, request.headers.host)) next();
  else
    next(
      new AppError(
        "other-site",
        "This request comes from a page of another site, and the station takes none from there.",
      ),
    );
};
