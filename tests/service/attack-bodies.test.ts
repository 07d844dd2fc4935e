import { randomUUID } from "node:crypto";
import { gzipSync } from "node:zlib";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { NowSnapshot } from "../../station/model/now.js";
import { AttackRig, heardOn } from "./attack-rig.js";
import { eventually } from "./station-process.js";

/** Of the process of the station, bytes. */
function memoryOf(status: string): number {
  return Number(/^VmRSS:\s+(\d+) kB$/m.exec(status)?.[1]) * 1024;
}

describe("whatever is sent to the station", () => {
  const rig = new AttackRig();
  let owner: { from: "network"; cookie: string };
  beforeAll(async () => {
    await rig.begin();
    owner = { from: "network", cookie: await rig.cookieOf("owner") };
  });
  afterAll(() => rig.end());

  const alive = async () => {
    const answer = await rig.ask("GET", "/api/now");
    expect((JSON.parse(answer.text) as NowSnapshot).start).not.toBe("");
  };
  const memory = async () => {
    const { readFile } = await import("node:fs/promises");
    return memoryOf(await readFile(`/proc/${rig.station.child.pid}/status`, "utf8"));
  };

  it("is refused where it is larger than it may be, on its way already", async () => {
    const before = await memory();
    // Four of them together are more than twice what the process may have grown by at the end, for whatever else is in it.
    const large = JSON.stringify({ note: "x".repeat(60e6) });
    for (const [method, path] of [
      ["PUT", "/api/job-sheet"],
      ["POST", "/api/runs"],
      ["POST", "/api/access/sign-in"],
      ["POST", "/api/entries"],
    ] as const) {
      // A station that closes the connection before it has all of it has refused it too.
      const status = await rig
        .ask(method, path, { ...owner, headers: { "content-type": "application/json" }, body: large })
        .then((answer) => answer.status)
        .catch(() => 413);
      expect(status).toBeGreaterThanOrEqual(400);
      expect(status).toBeLessThan(500);
    }
    expect((await memory()) - before).toBeLessThan(100e6);
    await alive();
  });

  it("is not unpacked: a few bytes cannot become many here", async () => {
    const bomb = gzipSync(Buffer.alloc(60e6, 0x20));
    expect(bomb.length).toBeLessThan(64 * 1024);
    const before = await memory();
    const headers = { "content-type": "application/json", "content-encoding": "gzip" };
    for (const path of ["/api/runs", "/api/access/sign-in", "/api/entries"]) {
      const answer = await rig.ask("POST", path, { ...owner, headers, body: bomb });
      expect([path, answer.status]).toEqual([path, 400]);
    }
    const past = await rig.ask("POST", "/api/past-runs", { ...owner, headers, body: bomb });
    expect(past.status).toBeLessThan(500);
    expect((await memory()) - before).toBeLessThan(60e6);
    await alive();
  });

  it("may be as deep as it likes, and is refused in words", async () => {
    for (const deep of [
      `${"[".repeat(30_000)}${"]".repeat(30_000)}`,
      `${'{"a":'.repeat(10_000)}1${"}".repeat(10_000)}`,
      `{"settings":${'{"settings":'.repeat(4_000)}{}${"}".repeat(4_001)}`,
    ]) {
      const headers = { "content-type": "application/json" };
      for (const [method, path] of [
        ["POST", "/api/runs"],
        ["PUT", "/api/job-sheet"],
        ["POST", "/api/entries"],
      ] as const) {
        expect((await rig.ask(method, path, { ...owner, headers, body: deep })).code).toBe("request-invalid");
      }
    }
    await alive();
  });

  it("changes no object's prototype", async () => {
    const headers = { "content-type": "application/json" };
    for (const key of ["__proto__", "constructor", "prototype"]) {
      for (const body of [
        `{"${key}":{"role":"owner","polluted":1}}`,
        `{"settings":{"${key}":{"polluted":1}}}`,
        `{"entries":[{"${key}":{"polluted":1}}]}`,
      ]) {
        for (const path of ["/api/runs", "/api/entries", "/api/access/sign-in"]) {
          const { status } = await rig.ask("POST", path, { ...owner, headers, body });
          expect([body, path, status]).toEqual([body, path, 400]);
        }
      }
      const asked = await rig.ask("GET", `/api/runs?${key}[polluted]=1&${key}=1`, owner);
      expect([key, asked.status]).toEqual([key, 400]);
    }
    const viewer = await rig.ask("GET", "/api/access/me", { from: "network" });
    expect(JSON.parse(viewer.text)).toMatchObject({ role: null });
    expect(viewer.text).not.toContain("polluted");
  });

  it("leads to no file but those that are shown to everybody, or were asked for by their sum", async () => {
    const ways = ["..", "%2e%2e", "..%2f", "%2e%2e%2f", "..%5c", "%252e%252e%252f", "....//", "/"];
    const files = ["etc/passwd", "journal/access.json", "package.json", "station.yaml"];
    for (const base of ["/assets/", "/", "/api/photos/", "/api/exports/", "/problems/", "/s/"]) {
      for (const way of ways) {
        for (const file of files) {
          const path = `${base}${`${way}/`.repeat(6)}${file}`;
          // From the wall, where nothing is refused for being too much.
          const answer = await rig.ask("GET", path, { cookie: owner.cookie });
          expect([path, /root:|argon2id|"dependencies"|coolant_range/.test(answer.text)]).toEqual([
            path,
            false,
          ]);
          expect([path, answer.status >= 500]).toEqual([path, false]);
        }
      }
    }
    for (const name of ["%00.jpg", `${"a".repeat(64)}.jpg%00.png`, `../${"a".repeat(64)}.jpg`]) {
      expect((await rig.ask("GET", `/api/photos/${name}`, owner)).status).toBeGreaterThanOrEqual(400);
    }
    expect((await rig.ask("GET", "/.build/built", owner)).status).toBe(404);
    expect((await rig.ask("GET", "/assets/.%00", owner)).status).toBeLessThan(500);
  });

  it("names no file either: the name that a picture has elsewhere is nowhere asked for", async () => {
    const query = new URLSearchParams({ entry: randomUUID(), subject: "../../etc/passwd", note: "" });
    const headers = { "content-type": "image/jpeg" };
    const answer = await rig.ask("POST", `/api/photos?${query}`, {
      ...owner,
      headers,
      body: Buffer.from("x"),
    });
    expect(answer.code).toBe("request-invalid");
  });

  it("is cut off where its head is too long, or has too many lines", async () => {
    const long = await rig.raw("network");
    const heard = heardOn(long);
    long.write(`GET / HTTP/1.1\r\nHost: 127.0.0.2\r\nX: ${"x".repeat(20_000)}\r\n\r\n`);
    expect(await heard).toMatch(/^HTTP\/1\.1 431/);
    const flood = await rig.raw("network");
    const told = heardOn(flood);
    const pour = setInterval(() => flood.write(`X-${Math.random()}: ${"y".repeat(500)}\r\n`), 1);
    flood.write("GET / HTTP/1.1\r\nHost: 127.0.0.2\r\n");
    expect(await told).toMatch(/^HTTP\/1\.1 431/);
    clearInterval(pour);
    await alive();
  });

  it("has no smuggled second question in it", async () => {
    const body = "0\r\n\r\nGET /api/access HTTP/1.1\r\nHost: 127.0.0.2\r\n\r\n";
    const socket = await rig.raw("network");
    const heard = heardOn(socket);
    socket.write(
      `POST /api/runs HTTP/1.1\r\nHost: 127.0.0.2\r\nContent-Length: ${body.length}\r\nTransfer-Encoding: chunked\r\n\r\n${body}`,
    );
    expect(await heard).toMatch(/^HTTP\/1\.1 400/);
  });

  it("may come as slowly as it likes, and then comes no more; and takes no more room than it may", async () => {
    const slow = await Promise.all(Array.from({ length: 80 }, () => rig.raw("network").catch(() => null)));
    const open = slow.filter((socket) => socket !== null);
    let drips = 0;
    const closed = open.map((socket) => heardOn(socket).then((text) => ({ text, drips })));
    for (const socket of open) socket.write("POST /api/access/sign-in HTTP/1.1\r\nHost: 127.0.0.2\r\nX-");
    const drip = setInterval(() => {
      drips += 1;
      for (const socket of open) if (socket.writable) socket.write("a");
    }, 500);
    // Nobody at the wall waits for them.
    for (let again = 0; again < 20; again += 1) await alive();
    const ends = await Promise.all(closed);
    clearInterval(drip);
    const refused = ends.filter(({ text }) => text === "").length;
    // Of one machine 48 at once: the rest are not let in at all, and those that were end with a timeout.
    expect(refused).toBeGreaterThanOrEqual(80 - 48);
    expect(refused).toBeLessThan(80);
    expect(ends.filter(({ text }) => /^HTTP\/1\.1 408/.test(text)).length).toBe(ends.length - refused);
    // Within twenty seconds, in drips: where the whole machine stands still, none is sent either.
    expect(Math.max(...ends.map((end) => end.drips))).toBeLessThan(40);
    // The station has seen off the last of them a moment after they saw the end of it.
    const again = async () => (await rig.ask("GET", "/api/now", owner)).status;
    expect(await eventually(again, "the network to be let in again")).toBe(200);
  });

  it("is too much from one address at some time, and never from the station's own screen", async () => {
    // So many that more come than it lets through meanwhile, however slowly a busy machine asks.
    const answers = await inTurns(1500, () => rig.ask("GET", "/api/access/me", { from: "network" }));
    expect(answers.filter(({ code }) => code === "too-many-requests").length).toBeGreaterThan(50);
    expect(answers.filter(({ status }) => status === 200).length).toBeGreaterThan(300);
    const wall = await inTurns(700, () => rig.ask("GET", "/api/access/me"));
    expect(wall.every(({ status }) => status === 200)).toBe(true);
  });
});

/** Twenty at a time. */
async function inTurns<T>(count: number, ask: () => Promise<T>): Promise<T[]> {
  const all: T[] = [];
  while (all.length < count) all.push(...(await Promise.all(Array.from({ length: 20 }, ask))));
  return all;
}
