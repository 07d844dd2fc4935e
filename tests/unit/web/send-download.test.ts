import { once } from "node:events";
import { createServer, type Server } from "node:http";
import type { AddressInfo } from "node:net";
import express from "express";
import { afterEach, expect, it } from "vitest";
import { AppError } from "../../../station/errors.js";
import type { Download } from "../../../station/journal/exchange/downloads.js";
import { sendDownload } from "../../../station/web/send-download.js";

const SENT = { name: "a.csv", type: "text/csv" };
const MEGABYTE = 1_048_576;
let server: Server;
let failed: unknown[] = [];

afterEach(() => {
  failed = [];
  server.closeAllConnections();
  server.close();
});

interface Counted {
  taken: number;
  closed: number;
  /** How far the answer was when it was first closed. */
  atClose: { readonly begun: boolean; readonly ended: boolean } | null;
}

/** Answers every request with it, and counts what was taken of it; `closed` once that is over. */
async function serve(
  next: (taken: number) => Uint8Array | null,
  idleMs?: number,
  bytes: number | null = null,
) {
  const counted: Counted = { taken: 0, closed: 0, atClose: null };
  let answer: express.Response | null = null;
  let over = () => {};
  const closed = new Promise<void>((resolve) => {
    over = resolve;
  });
  const download: Download = {
    bytes,
    next: async () => next(counted.taken++),
    async close() {
      counted.closed += 1;
      counted.atClose ??= { begun: answer?.headersSent ?? false, ended: answer?.writableEnded ?? false };
      over();
    },
  };
  const app = express();
  app.get("/file", async (_request, response) => {
    answer = response;
    await sendDownload(response, SENT, download, idleMs);
  });
  app.get("/other", (_request, response) => {
    response.json({});
  });
  const failure: express.ErrorRequestHandler = (error, _request, response, following) => {
    failed.push(error);
    if (response.headersSent) following(error);
    else response.status(500).end();
  };
  app.use(failure);
  server = createServer(app).listen(0, "127.0.0.1");
  await once(server, "listening");
  const url = `http://127.0.0.1:${(server.address() as AddressInfo).port}`;
  return { url, counted, closed };
}

it("takes no more than is being taken from it, and ends when whoever asked has gone", async () => {
  const piece = new Uint8Array(MEGABYTE);
  const { url, counted, closed } = await serve((taken) => (taken < 400 ? piece : null));
  const leaving = new AbortController();
  const response = await fetch(`${url}/file`, { signal: leaving.signal });
  expect(response.headers.get("content-disposition")).toBe('attachment; filename="a.csv"');
  // Nothing of it is read, and the station has all the time it wants.
  for (let i = 0; i < 50; i++) await (await fetch(`${url}/other`)).text();
  expect(counted.taken).toBeLessThan(100);
  expect(counted.closed).toBe(0);
  leaving.abort();
  await closed;
  expect(counted).toMatchObject({ closed: 1 });
  expect(counted.taken).toBeLessThan(100);
  expect(failed).toEqual([]);
});

it("lets go of it before the last of it is sent, whether or not its length is known", async () => {
  for (const bytes of [null, 10]) {
    const { url, counted } = await serve(
      (taken) => (taken < 1 ? new Uint8Array(10) : null),
      undefined,
      bytes,
    );
    const response = await fetch(`${url}/file`);
    expect((await response.arrayBuffer()).byteLength).toBe(10);
    // With its length known, whoever asked has the whole of it with the last piece; otherwise with the end of the answer.
    expect(counted.atClose).toEqual({ begun: bytes === null, ended: false });
    server.close();
  }
});

it("gives up on one who takes nothing", async () => {
  const { url, counted, closed } = await serve(
    (taken) => (taken < 400 ? new Uint8Array(MEGABYTE) : null),
    50,
  );
  const response = await fetch(`${url}/file`);
  await closed;
  expect(counted.taken).toBeLessThan(100);
  await expect(response.arrayBuffer()).rejects.toThrow();
});

it("refuses what fails at once, and cuts off what fails later", async () => {
  const fault = new AppError("readings-damaged", "They are damaged.");
  const atOnce = await serve(() => {
    throw fault;
  });
  expect((await fetch(`${atOnce.url}/file`)).status).toBe(500);
  expect(atOnce.counted.closed).toBeGreaterThan(0);
  server.close();
  const later = await serve((taken) => {
    if (taken > 0) throw fault;
    return new Uint8Array(10);
  });
  const response = await fetch(`${later.url}/file`);
  await expect(response.arrayBuffer()).rejects.toThrow();
  await later.closed;
  expect(failed).toEqual([fault, fault]);
});
