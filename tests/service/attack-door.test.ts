import { readFileSync, statSync } from "node:fs";
import { join } from "node:path";
import { io, type Socket } from "socket.io-client";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { type Asked, AttackRig, heardOn, PASSPHRASES, PIN } from "./attack-rig.js";
import { eventually } from "./station-process.js";

describe("whoever is not let in", () => {
  const rig = new AttackRig();
  const sockets: Socket[] = [];
  beforeAll(() => rig.begin());
  afterAll(async () => {
    for (const socket of sockets) socket.close();
    await rig.end();
  });

  /** A socket as a browser would open it: to an address, with the headers of a page. */
  const socketTo = (from: Asked["from"], headers: Record<string, string>, transports = ["websocket"]) => {
    const socket = io(`http://${rig.hostOf(from)}:${rig.port}`, {
      ...{ transports, forceNew: true, reconnection: false, extraHeaders: headers },
    });
    sockets.push(socket);
    return new Promise<"in" | "out">((resolve) => {
      socket.on("snapshot", () => resolve("in"));
      socket.on("connect_error", () => resolve("out"));
    });
  };
  /** The answer to the first line of a websocket, as it comes. */
  const upgrade = async (from: Asked["from"], headers: Readonly<Record<string, string>>) => {
    const socket = await rig.raw(from);
    const heard = heardOn(socket);
    const lines = {
      Host: `${rig.hostOf(from)}:${rig.port}`,
      Connection: "Upgrade",
      Upgrade: "websocket",
      "Sec-WebSocket-Version": "13",
      "Sec-WebSocket-Key": "dGhlIHNhbXBsZSBub25jZQ==",
      ...headers,
    };
    const text = Object.entries(lines).map(([name, value]) => `${name}: ${value}\r\n`);
    socket.write(`GET /socket.io/?EIO=4&transport=websocket HTTP/1.1\r\n${text.join("")}\r\n`);
    setTimeout(() => socket.end(), 1_000);
    return Number(/^HTTP\/1\.1 (\d{3})/.exec(await heard)?.[1]);
  };

  describe("under a name that is not the station's (DNS rebinding)", () => {
    const FOREIGN = [
      "evil.example",
      "evil.example:80",
      "127.0.0.1.evil.example",
      "localhost.evil.example",
      "[::2]:80",
    ];

    it.each(FOREIGN)("gets nothing as %s", async (host) => {
      for (const path of ["/", "/api/now", "/api/access/me", "/metrics", "/assets/x.js", "/icon.svg"]) {
        const answer = await rig.ask("GET", path, { headers: { host } });
        expect([path, answer.status]).toEqual([path, 421]);
        expect(answer.text).not.toContain("Simulated bench");
      }
      expect((await rig.ask("POST", "/api/runs", { headers: { host }, body: {} })).status).toBe(421);
      expect(await upgrade("wall", { Host: host })).toBe(421);
    });

    it("is told in words what to do", async () => {
      const answer = await rig.ask("GET", "/", { headers: { host: "pi.lan", accept: "text/html" } });
      expect(answer.headers["content-type"]).toContain("text/plain");
      expect(answer.text).toContain('does not go by the name "pi.lan"');
      expect(answer.text).toContain("web.names");
    });

    it("gets no further with two names, or none", async () => {
      for (const [head, status] of [
        ["Host: localhost\r\nHost: evil.example", /^HTTP\/1\.1 421/],
        ["X: y", /^HTTP\/1\.1 400/],
      ] as const) {
        const socket = await rig.raw("wall");
        const heard = heardOn(socket);
        socket.write(`GET /api/access/me HTTP/1.1\r\n${head}\r\nConnection: close\r\n\r\n`);
        expect(await heard).toMatch(status);
      }
    });

    it.each(["localhost", "LOCALHOST", "127.0.0.1", "[::1]"])("is the station as %s", async (name) => {
      expect(
        (await rig.ask("GET", "/api/access/me", { headers: { host: `${name}:${rig.port}` } })).status,
      ).toBe(200);
    });
  });

  describe("as a page of another site, in the browser of somebody who is let in", () => {
    const ELSEWHERE = { origin: "http://elsewhere.example" };

    it("changes nothing, with a cookie or at the wall", async () => {
      const cookie = await rig.cookieOf("owner");
      const own = `http://127.0.0.2:${rig.port}`;
      const send = (headers: Record<string, string>, bare = false) =>
        rig.ask("POST", "/api/optics/cleaned", { from: "network", cookie, headers, bare, body: {} });
      expect((await send({ origin: own })).status).toBe(200);
      const foreign = [ELSEWHERE.origin, "null", `http://127.0.0.2:${rig.port + 1}`, "https://127.0.0.2"];
      for (const origin of foreign) {
        expect([origin, (await send({ origin })).code]).toEqual([origin, "other-site"]);
      }
      expect((await send({ "sec-fetch-site": "cross-site" })).code).toBe("other-site");
      expect((await send({ "sec-fetch-site": "same-site", origin: own })).code).toBe("other-site");
      // A form sends no header of its own, whatever it makes of the rest.
      expect((await send({ origin: own }, true)).code).toBe("other-site");
      // The screen on the wall has no cookie that could stay at home: another site's form must not use the PIN's time.
      const wall = await rig.ask("POST", "/api/access/pin", { headers: ELSEWHERE, body: { pin: PIN } });
      expect([wall.code, wall.cookie]).toEqual(["other-site", null]);
    });

    it("reads nothing: its questions are refused, and no answer is shared with it", async () => {
      const answer = await rig.ask("GET", "/api/now", {
        headers: { ...ELSEWHERE, "sec-fetch-site": "cross-site" },
      });
      expect(answer.code).toBe("other-site");
      const { headers } = await rig.ask("GET", "/api/now", { headers: ELSEWHERE });
      expect(headers["access-control-allow-origin"]).toBeUndefined();
      expect(headers["cross-origin-resource-policy"]).toBe("same-origin");
    });

    it("opens no socket", async () => {
      const cookie = `station-session=${await rig.cookieOf("owner")}`;
      expect(await socketTo("network", { cookie })).toBe("in");
      expect(await socketTo("network", { cookie, ...ELSEWHERE })).toBe("out");
      expect(await socketTo("network", { cookie, ...ELSEWHERE }, ["polling"])).toBe("out");
      expect(await socketTo("wall", ELSEWHERE)).toBe("out");
      expect(await upgrade("network", { Cookie: cookie, Origin: "null" })).toBe(403);
    });

    it("frames no page, and runs nothing in one", async () => {
      const policy =
        (await rig.ask("GET", "/", { from: "network" })).headers["content-security-policy"] ?? "";
      expect(policy).toContain("frame-ancestors 'none'");
      expect(policy).toContain("script-src 'self'");
      expect(policy).toContain("style-src 'self'");
      expect(policy).not.toMatch(/unsafe|\*/);
    });
  });

  describe("with a session that is none", () => {
    it("is not let in by a cookie that was made up, or put there twice", async () => {
      const cookie = await rig.cookieOf("viewer");
      const forged = [
        "",
        "x",
        "A".repeat(43),
        `${cookie.slice(0, -1)}${cookie.endsWith("A") ? "B" : "A"}`,
        `${cookie}A`,
        `../${cookie}`,
        "%00",
        "__proto__",
        `A; station-session=${cookie}`,
      ];
      for (const each of forged) {
        const { status } = await rig.ask("GET", "/api/now", { from: "network", cookie: each });
        expect([each, status]).toEqual([each, 401]);
      }
      expect((await rig.ask("GET", "/api/now", { from: "network", cookie })).status).toBe(200);
    });

    it("does not get into a session that was put there before the sign-in (fixation)", async () => {
      const planted = await rig.cookieOf("viewer");
      const signed = await rig.signIn("owner", { from: "network", cookie: planted });
      expect(signed.cookie).not.toBe(planted);
      expect((await rig.ask("GET", "/api/now", { from: "network", cookie: planted })).status).toBe(401);
      const made = await rig.signIn("owner", { from: "network", cookie: "A".repeat(43) });
      expect(made.cookie).not.toBe("A".repeat(43));
      const raised = await rig.ask("POST", "/api/access/pin", {
        ...{ from: "network", cookie: await rig.cookieOf("viewer"), body: { pin: PIN } },
      } as Asked);
      expect(raised.cookie).not.toBeNull();
    });

    it("is out for good once it has signed out, whatever it kept", async () => {
      const cookie = await rig.cookieOf("operator");
      const out = await rig.ask("POST", "/api/access/sign-out", { from: "network", cookie, body: {} });
      expect(out.headers["set-cookie"]?.[0]).toContain("Max-Age=0");
      for (let again = 0; again < 3; again += 1) {
        expect((await rig.ask("GET", "/api/now", { from: "network", cookie })).status).toBe(401);
      }
      expect(await socketTo("network", { cookie: `station-session=${cookie}` })).toBe("out");
    });

    it("opens no socket, over either way of asking", async () => {
      expect(await socketTo("network", {})).toBe("out");
      expect(await socketTo("network", {}, ["polling"])).toBe("out");
      expect(await socketTo("network", { cookie: `station-session=${"A".repeat(43)}` })).toBe("out");
      expect(await upgrade("network", {})).toBe(401);
      // Whoever has got hold of the number of an open socket has nothing with it.
      const cookie = await rig.cookieOf("viewer");
      const opened = await rig.ask("GET", "/socket.io/?EIO=4&transport=polling", { from: "network", cookie });
      const sid = /"sid":"([\w-]+)"/.exec(opened.text)?.[1];
      const path = `/socket.io/?EIO=4&transport=polling&sid=${sid}`;
      expect((await rig.ask("GET", path, { from: "network" })).status).toBe(401);
    });

    it("is cut off its socket at once when the session is ended, and may no longer what it might", async () => {
      const owner = await rig.cookieOf("owner");
      const cookie = await rig.cookieOf("operator");
      expect(await socketTo("network", { cookie: `station-session=${cookie}` })).toBe("in");
      const socket = sockets.at(-1);
      const gone = new Promise<string>((resolve) => socket?.on("disconnect", resolve));
      const view = await rig.ask("GET", "/api/access", { from: "network", cookie: owner });
      const { sessions } = JSON.parse(view.text) as {
        sessions: { id: string; name: string; idleMs: number }[];
      };
      const [newest] = sessions.filter(({ name }) => name === "operator").sort((a, b) => a.idleMs - b.idleMs);
      await rig.ask("DELETE", `/api/access/sessions/${newest?.id}`, { from: "network", cookie: owner });
      expect(await gone).toBe("io server disconnect");
    });

    it("acknowledges nothing over a socket that only looks", async () => {
      expect(await socketTo("network", { cookie: `station-session=${await rig.cookieOf("viewer")}` })).toBe(
        "in",
      );
      const answer = await sockets.at(-1)?.emitWithAck("acknowledge", { alarm: "coolant-high", by: "owner" });
      expect(answer).toMatchObject({ ok: false, problem: { code: "not-allowed" } });
      expect(await socketTo("wall", {})).toBe("in");
      const wall = await sockets.at(-1)?.emitWithAck("acknowledge", { alarm: "coolant-high", by: "owner" });
      expect(wall).toMatchObject({ ok: false, problem: { code: "not-allowed" } });
    });
  });

  describe("with a code for pairing", () => {
    const offer = async (role: string, cookie: string) =>
      rig.ask("POST", "/api/access/pairings", { from: "network", cookie, body: { role } });
    const pair = (token: string, name = "a phone") =>
      rig.ask("POST", "/api/access/pair", { from: "network", body: { token, name } });

    it("comes in once, and gets no more than the screen that showed it may", async () => {
      const cookie = await rig.cookieOf("operator");
      expect((await offer("owner", cookie)).code).toBe("not-allowed");
      const shown = await offer("viewer", cookie);
      const token = (JSON.parse(shown.text) as { address: string }).address.split("#")[1] ?? "";
      expect((await pair(token, "owner")).code).toBe("name-taken");
      // A name that was refused has used it up too: nobody tries names with it.
      expect((await pair(token)).code).toBe("pairing-refused");
      const next = await offer("viewer", cookie);
      const good = (JSON.parse(next.text) as { address: string }).address.split("#")[1] ?? "";
      const phone = await pair(good);
      expect(phone.status).toBe(200);
      expect((await pair(good)).code).toBe("pairing-refused");
      const made = { from: "network", cookie: phone.cookie ?? undefined } as const;
      expect((await rig.ask("GET", "/api/now", made)).status).toBe(200);
      expect((await rig.ask("POST", "/api/runs", { ...made, body: {} })).code).toBe("not-allowed");
    });

    it("is shown none by a screen that only looks, and does not come in with one that was made up", async () => {
      expect((await offer("viewer", await rig.cookieOf("viewer"))).code).toBe("not-allowed");
      expect((await rig.ask("POST", "/api/access/pairings", { body: { role: "viewer" } })).code).toBe(
        "not-allowed",
      );
      for (const token of ["", "A".repeat(43), "__proto__"])
        expect((await pair(token)).code).toBe("pairing-refused");
    });
  });

  it("finds no door beside the door: a request that was handed on is not of the station's own screen", async () => {
    for (const name of ["x-forwarded-for", "forwarded", "via", "x-real-ip"]) {
      const answer = await rig.ask("GET", "/api/now", { headers: { [name]: "127.0.0.1" } });
      expect([name, answer.status]).toEqual([name, 401]);
    }
  });

  it("finds no secret in the log, in the journal, in an export or in the file that keeps who may sign in", async () => {
    const cookie = await rig.cookieOf("owner");
    await rig.ask("POST", "/api/access/pin", { body: { pin: PIN } });
    await rig.ask("POST", "/api/access/sign-in", {
      body: `{"name":"owner","passphrase":"${PASSPHRASES.owner}"`,
    });
    const exported = await rig.ask("GET", "/api/exports/journal.sqlite", { from: "network", cookie });
    expect(exported.status).toBe(200);
    await eventually(() => rig.station.output().includes("open to the network"), "the log");
    const folder = join(rig.folder, "journal");
    const kept = ["journal.sqlite", "journal.sqlite-wal", "access.json"].map((name) =>
      readFileSync(join(folder, name), "latin1"),
    );
    const all = [rig.station.output(), exported.text, ...kept];
    for (const secret of [...Object.values(PASSPHRASES), cookie, "$argon2id$"]) {
      const found = all.map((text) => text.includes(secret));
      expect([secret, found]).toEqual([
        secret,
        secret === "$argon2id$" ? [false, false, false, false, true] : all.map(() => false),
      ]);
    }
    expect(statSync(join(folder, "access.json")).mode & 0o777).toBe(0o600);
    expect(statSync(join(folder, "journal.sqlite")).mode & 0o077).toBe(0);
  });
});
