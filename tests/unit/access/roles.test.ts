import { once } from "node:events";
import { createServer, type Server } from "node:http";
import type { AddressInfo } from "node:net";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { Caller } from "../../../station/access/caller.js";
import { ALL_PERMISSIONS, type Permission } from "../../../station/access/permissions.js";
import { mayAs, ROLES, type Role } from "../../../station/model/access.js";
import { createApp } from "../../../station/web/app.js";
import { aGate, type GateRig } from "../web/a-gate.js";
import { run, services } from "../web/services.js";

const PASSPHRASE = "four words that suffice";
const nobody: Caller = {
  address: "10.0.0.9",
  here: false,
  session: null,
  person: null,
  role: null,
  who: null,
};

describe("every route with every role", () => {
  let rig: GateRig;
  let server: Server;
  let url: string;

  beforeAll(async () => {
    rig = await aGate();
    const { access, gate } = rig;
    const here = access.caller(null, { here: true, address: "127.0.0.1" });
    await access.begin(here, "owner", PASSPHRASE);
    for (const role of ROLES)
      if (role !== "owner") await access.add(here, { name: role, role, passphrase: PASSPHRASE });
    const shown = () => {
      throw new Error("Nobody asks for it here.");
    };
    server = createServer(
      createApp(
        { ...services, access: { access, shown, deeds: async () => ({ deeds: [], more: false }) } },
        gate,
        "/nowhere",
        () => undefined,
      ),
    );
    // Both ends of a connection to this address are this machine, but not as they are on its own screen.
    server.listen(0, "127.0.0.2");
    await once(server, "listening");
    url = `http://127.0.0.2:${(server.address() as AddressInfo).port}`;
  });
  afterAll(async () => {
    server.close();
    await rig.remove();
  });

  async function ask(
    { method, route }: Permission,
    role: Role | null,
  ): Promise<{ status: number; code: unknown }> {
    const path = route
      .replace(":id", run.id)
      .replace(":code", "ACEFH")
      .replace(":format", "svg")
      .replace(":name", `${"a".repeat(64)}.jpg`);
    // Anew each time: some of the routes put an end to sessions.
    const token = role === null ? null : await rig.access.signIn(nobody, role, PASSPHRASE);
    const response = await fetch(`${url}/api${path}`, {
      method,
      headers: {
        "content-type": "application/json",
        "station-page": "1",
        ...(token === null ? {} : { cookie: `station-session=${token}` }),
      },
      ...(method === "GET" || method === "DELETE" ? {} : { body: "{}" }),
    });
    const text = await response.text();
    const json = response.headers.get("content-type")?.includes("json") === true && text !== "";
    return {
      status: response.status,
      code: json ? (JSON.parse(text) as { code?: unknown }).code : undefined,
    };
  }

  const every = ALL_PERMISSIONS.map((permission) => ({
    ...permission,
    name: `${permission.method} ${permission.route}`,
  }));

  it.each(every)("$name takes at least a role of $least", async (permission) => {
    for (const role of [null, ...ROLES]) {
      const { status, code } = await ask(permission, role);
      const may = permission.least === "anybody" || mayAs(role, permission.least);
      const gate = code === "sign-in-needed" ? 401 : code === "not-allowed" ? 403 : null;
      if (may) expect([role, gate]).toEqual([role, null]);
      else if (role === null) expect([role, status, gate]).toEqual([role, 401, 401]);
      else expect([role, status, gate]).toEqual([role, 403, 403]);
    }
  });

  it("does not tell who has not signed in what there is, and answers nobody for what is in no table", async () => {
    const nowhere = { method: "GET", route: "/nowhere", least: "owner" } as const;
    expect((await ask(nowhere, null)).status).toBe(401);
    expect((await ask(nowhere, "owner")).status).toBe(404);
  });

  it("gives metrics to a token made for it, and to nobody else on the network", async () => {
    const metrics = (headers: Record<string, string>) => fetch(`${url}/metrics`, { headers });
    expect((await metrics({})).status).toBe(401);
    const owner = rig.access.caller(await rig.access.signIn(nobody, "owner", PASSPHRASE), nobody);
    const token = await rig.access.newScraperToken(owner);
    expect((await metrics({ authorization: `Bearer ${token}` })).status).toBe(200);
    expect((await metrics({ authorization: `Bearer ${token.slice(1)}A` })).status).toBe(401);
    const next = await rig.access.newScraperToken(owner);
    expect((await metrics({ authorization: `Bearer ${token}` })).status).toBe(401);
    expect((await metrics({ authorization: `Bearer ${next}` })).status).toBe(200);
  });

  it("wants what only its own pages send of whoever comes with a cookie", async () => {
    const token = await rig.access.signIn(nobody, "operator", PASSPHRASE);
    const send = (headers: Record<string, string>) =>
      fetch(`${url}/api/optics/cleaned`, {
        method: "POST",
        headers: { cookie: `station-session=${token}`, ...headers },
      });
    expect((await send({})).status).toBe(403);
    expect((await send({ "station-page": "1" })).status).toBe(200);
    expect((await send({ "station-page": "1", origin: "http://elsewhere.example" })).status).toBe(403);
    expect((await send({ "station-page": "1", "sec-fetch-site": "same-site" })).status).toBe(403);
    expect((await send({ "station-page": "1", origin: url, "sec-fetch-site": "same-origin" })).status).toBe(
      200,
    );
  });

  it("signs with the name of whoever has signed in, whatever the page says", async () => {
    const token = await rig.access.signIn(nobody, "operator", PASSPHRASE);
    const send = (path: string, body: object) =>
      fetch(`${url}/api${path}`, {
        method: "POST",
        headers: {
          "content-type": "application/json",
          "station-page": "1",
          cookie: `station-session=${token}`,
        },
        body: JSON.stringify(body),
      });
    await send("/alarms/coolant-high/acknowledge", { by: "owner" });
    expect(services.alarms.acknowledge).toHaveBeenLastCalledWith("coolant-high", "operator");
    const entry = {
      ...{ entry: run.id, kind: "grade", subject: "ACEFH", property: "through", enteredWall: 5, by: "owner" },
      body: { value: 2, grading: 1 },
    };
    const answer = await send("/entries", { entries: [entry] });
    expect([answer.status, services.plans.enter.mock.lastCall?.[0].map(({ by }) => by)]).toEqual([
      200,
      ["operator"],
    ]);
  });
});
