import type { Express } from "express";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { ALL_PERMISSIONS, permissionFor } from "../../../station/access/permissions.js";
import { createApp, PAGES } from "../../../station/web/app.js";
import { aGate, type GateRig } from "../web/a-gate.js";
import { services } from "../web/services.js";

interface Layer {
  readonly route?: { readonly path: string | RegExp; readonly methods: Readonly<Record<string, boolean>> };
  readonly handle?: { readonly stack?: readonly Layer[] };
}

const layersOf = (app: Express) => (app.router as unknown as { stack: readonly Layer[] }).stack;

/** As "GET /runs/:id". A route of HEAD alone, for what would be dear, goes by the permission of GET. */
function routesIn(layers: readonly Layer[]): string[] {
  return layers
    .flatMap(({ route }) => (route === undefined ? [] : [route]))
    .flatMap(({ path, methods }) =>
      [path]
        .flat()
        .flatMap((each) => Object.keys(methods).map((name) => `${name.toUpperCase()} ${String(each)}`)),
    )
    .filter((route) => !route.startsWith("HEAD "))
    .sort();
}

describe("the table of who may ask what", () => {
  let rig: GateRig;
  let app: Express;
  beforeAll(async () => {
    rig = await aGate();
    const shown = () => {
      throw new Error("Nobody asks for it here.");
    };
    app = createApp(
      { ...services, access: { access: rig.access, shown, deeds: shown } },
      rig.gate,
      "/nowhere",
      () => undefined,
    );
  });
  afterAll(() => rig.remove());

  it("has every route of the application and no other", () => {
    const routers = layersOf(app).flatMap(({ handle }) => handle?.stack ?? []);
    const routes = routesIn(routers);
    const table = ALL_PERMISSIONS.map(({ method, route }) => `${method} ${route}`);
    expect(routes.length).toBeGreaterThan(60);
    expect(routes).toEqual([...table].sort());
    // No router stands within another, where this would not see it.
    expect(routers.filter(({ handle }) => handle?.stack !== undefined)).toEqual([]);
  });

  it("leaves outside only the pages, which show nothing that was not asked of /api, and what is guarded by itself", () => {
    const outside = [...PAGES, "/problems/:code", "/metrics"].map((path) => `GET ${path}`);
    expect(routesIn(layersOf(app))).toEqual(outside.sort());
  });

  it("names each question once", () => {
    const table = ALL_PERMISSIONS.map(({ method, route }) => `${method} ${route}`);
    expect(new Set(table).size).toBe(table.length);
  });

  it.each([
    ["GET", "/runs", "viewer"],
    ["HEAD", "/runs/", "viewer"],
    ["GET", "/RUNS", "viewer"],
    ["POST", "/runs", "operator"],
    ["POST", "/plans/preview", "viewer"],
    ["GET", "/exports/journal.sqlite", "owner"],
    ["GET", "/EXPORTS/Journal.SQLite/", "owner"],
    ["GET", "/plans/1/codes.svg", "viewer"],
    ["DELETE", "/access/sessions", "owner"],
    ["GET", "/access/me", "anybody"],
  ])("%s %s takes a %s", (method, path, least) => {
    expect(permissionFor(method, path)?.least).toBe(least);
  });

  it.each([
    ["OPTIONS", "/runs"],
    ["TRACE", "/runs"],
    ["DELETE", "/runs"],
    ["GET", "/exports/journalXsqlite"],
    ["GET", "/runs//"],
    ["GET", "/access/me/../deeds"],
    ["POST", "/access/me"],
  ])("%s %s is nobody's", (method, path) => {
    expect(permissionFor(method, path)).toBeNull();
  });
});
