import { type Role, rankOf } from "../model/access.js";

/** `anybody`: also without having signed in. */
export type Least = Role | "anybody";

export type Method = "GET" | "POST" | "PUT" | "PATCH" | "DELETE";

/** Every question under /api, as its route is written, and the least role that may ask it. What is not here nobody may. */
export const PERMISSIONS: Readonly<Record<Least, readonly `${Method} /${string}`[]>> = {
  anybody: ["GET /access/me", "POST /access/sign-in", "POST /access/sign-out", "POST /access/pair"],
  viewer: [
    "GET /now",
    "GET /series",
    "GET /runs",
    "GET /runs/:id",
    "GET /runs/:id/series",
    "GET /runs/:id/upkeep",
    "GET /lots",
    "GET /lots/:id",
    "GET /lots/:id/sheet",
    "GET /plans",
    "GET /plans/:id",
    "GET /plans/:id/decision",
    "GET /plans/:id/labels",
    "GET /plans/:id/codes.:format",
    "GET /plans/:id/specimens.csv",
    "GET /specimens/:code",
    "GET /specimens/:code/outcome",
    "GET /specimens/:code/code.:format",
    "GET /photos/:name",
    "GET /past-runs",
    "GET /past-runs/columns",
    "GET /review",
    "GET /review/runs/:id",
    "GET /review/materials",
    "GET /review/drift",
    "GET /workshop",
    "GET /focus",
    "GET /maintenance",
    "GET /alarms",
    "GET /alarms/log",
    "GET /alarms/performance",
    "GET /alarms/:id/setting",
    "GET /alarms/:id/history",
    "GET /cautions",
    "GET /emergency",
    "GET /coolant/job",
    "GET /coolant/forecasts",
    "GET /marks",
    "GET /span",
    "GET /journal",
    "GET /backups",
    "GET /outward",
    "GET /exports",
    "GET /tables/runs.csv",
    "GET /tables/alarms.csv",
    // What a plan would show, reckoned and not kept; and how light a photo is.
    "POST /plans/preview",
    "POST /photos/:name/lightness",
    "POST /access/pin",
    "POST /access/lock",
    "POST /access/my-passphrase",
  ],
  operator: [
    "POST /runs",
    "POST /runs/:id/end",
    "PATCH /runs/:id/settings",
    "PUT /job-sheet",
    "POST /optics/cleaned",
    "POST /maintenance",
    "PUT /lots/:id",
    "POST /lots/:id/sheet",
    "PUT /plans/:id",
    "POST /plans/:id/phase",
    "POST /plans/:id/checks",
    "POST /plans/:id/decision",
    "POST /specimens/:code/again",
    "POST /entries",
    "POST /photos",
    "POST /alarms/:id/acknowledge",
    "POST /alarms/:id/reset",
    "POST /alarms/:id/shelve",
    "POST /alarms/:id/unshelve",
    "POST /checklists/:id",
    "POST /outward/:way/test",
    "POST /fire-watch",
    "POST /fire-watch/looks",
    "GET /exports/readings.csv",
    "GET /exports/readings.senml",
    "POST /access/pairings",
  ],
  owner: [
    "POST /alarms/:id/out-of-service",
    "POST /alarms/:id/in-service",
    "PUT /alarms/:id/setting",
    "DELETE /alarms/:id/setting",
    "PUT /workshop",
    "PUT /emergency",
    "POST /past-runs",
    "POST /backups",
    "GET /exports/journal.sqlite",
    "GET /access",
    "GET /access/deeds",
    "POST /access/passphrase",
    "POST /access/people",
    "PATCH /access/people/:id",
    "DELETE /access/people/:id",
    "PUT /access/pin",
    "DELETE /access/sessions",
    "DELETE /access/sessions/:id",
    "POST /access/scraper-token",
    // What is connected is looked at with the wires themselves.
    "GET /setup",
    "GET /setup/values",
    "POST /setup/listen",
    "POST /setup/preview",
    "PUT /setup/file",
    "POST /setup/back",
    "GET /setup/thermometers",
    "PUT /setup/points",
    "POST /setup/points/forget",
    "POST /setup/restart",
  ],
};

export interface Permission {
  /** As the route is written. */
  readonly route: string;
  readonly method: Method;
  readonly least: Least;
}

interface Matcher extends Permission {
  readonly fits: RegExp;
}

const MATCHERS: readonly Matcher[] = Object.entries(PERMISSIONS).flatMap(([least, lines]) =>
  lines.map((line) => {
    const [method = "", route = ""] = line.split(" ");
    const fits = new RegExp(`^${route.replaceAll(".", "\\.").replace(/:\w+/g, "[^/]+")}/?$`, "i");
    return { method: method as Method, route, least: least as Least, fits };
  }),
);

export const ALL_PERMISSIONS: readonly Permission[] = MATCHERS;

/**
 * What it takes to ask this; null where there is no such question. Of several routes that the address could be the one that
 * takes most. @param path under /api, as it came, not decoded
 */
export function permissionFor(method: string, path: string): Permission | null {
  const asked = method === "HEAD" ? "GET" : method;
  const found = MATCHERS.filter((each) => each.method === asked && each.fits.test(path));
  return found.sort((a, b) => rank(b.least) - rank(a.least))[0] ?? null;
}

function rank(least: Least): number {
  return least === "anybody" ? -1 : rankOf(least);
}
