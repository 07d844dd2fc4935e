import { once } from "node:events";
import { createServer, type Server } from "node:http";
import type { AddressInfo } from "node:net";
import express from "express";
import { afterAll, beforeAll, beforeEach, describe, expect, it, vi } from "vitest";
import { AppError } from "../../../station/errors.js";
import type { Download } from "../../../station/journal/exchange/downloads.js";
import type { SoundnessView } from "../../../station/model/soundness.js";
import { answerProblems } from "../../../station/web/problem.js";
import { exportRoutes } from "../../../station/web/routes/exports.js";

function download(texts: readonly string[], bytes: number | null): Download {
  const left = texts.map((text) => new TextEncoder().encode(text));
  return { bytes, next: async () => left.shift() ?? null, close: async () => {} };
}

const service = {
  wall: () => Date.UTC(2026, 10, 26, 12),
  soundness: vi.fn((): SoundnessView["state"] => "sound"),
  view: () => ({ running: false, trouble: null }),
  readings: vi.fn(async () => download(["time\r\n", "now\r\n"], null)),
  journal: vi.fn(async () => download(["SQL", "ite"], 6)),
};

describe("the addresses of exports", () => {
  let server: Server;
  let url = "";
  beforeAll(async () => {
    const app = express();
    app.set("query parser", "simple");
    app.use(
      exportRoutes(service),
      answerProblems(() => {}),
    );
    server = createServer(app).listen(0, "127.0.0.1");
    await once(server, "listening");
    url = `http://127.0.0.1:${(server.address() as AddressInfo).port}/exports`;
  });
  beforeEach(() => {
    service.readings.mockClear();
    service.journal.mockClear();
  });
  afterAll(() => {
    server.closeAllConnections();
    server.close();
  });

  it("give readings of a span, in the type and under the name of each form", async () => {
    const csv = await fetch(`${url}/readings.csv?from=0&to=1000&channel=a&channel=b`);
    expect(csv.headers.get("content-type")).toBe("text/csv; charset=utf-8; header=present");
    expect(csv.headers.get("content-disposition")).toBe(
      'attachment; filename="readings-19700101T000000Z-19700101T000001Z.csv"',
    );
    expect(await csv.text()).toBe("time\r\nnow\r\n");
    expect(service.readings).toHaveBeenLastCalledWith({ from: 0, to: 1000, channels: ["a", "b"] }, "csv");
    const senml = await fetch(`${url}/readings.senml?channel=a`);
    // A Pack to a line is no JSON text as a whole.
    expect(senml.headers.get("content-type")).toBe("application/x-ndjson");
    await senml.text();
    expect(service.readings).toHaveBeenLastCalledWith({ from: null, to: null, channels: ["a"] }, "senml");
  });

  it.each([
    ["looking", "-unchecked"],
    ["unknown", "-unchecked"],
    ["damaged", "-damaged"],
    ["rollups", ""],
  ] as const)("say in the name that the journal is not known to be sound (%s)", async (state, said) => {
    service.soundness.mockReturnValueOnce(state);
    const csv = await fetch(`${url}/readings.csv`);
    expect(csv.headers.get("content-disposition")).toBe(`attachment; filename="readings${said}.csv"`);
    await csv.text();
  });

  it("give the whole journal with its length, under the name of a backup", async () => {
    const whole = await fetch(`${url}/journal.sqlite`);
    expect(whole.headers.get("content-type")).toBe("application/vnd.sqlite3");
    expect(whole.headers.get("content-length")).toBe("6");
    expect(whole.headers.get("content-disposition")).toBe(
      'attachment; filename="journal-2026-11-26T120000Z.sqlite"',
    );
    expect(await whole.text()).toBe("SQLite");
    expect(await (await fetch(url)).json()).toEqual({ running: false, trouble: null });
  });

  it("begin nothing for a question that is not understood, or that wants no answer", async () => {
    for (const query of ["from=2&to=1", "from=yesterday", "channel=", "colour=red"]) {
      expect((await fetch(`${url}/readings.csv?${query}`)).status, query).toBe(400);
    }
    expect((await fetch(`${url}/journal.sqlite?from=1`)).status).toBe(400);
    expect((await fetch(`${url}/journal.sqlite`, { method: "HEAD" })).status).toBe(405);
    expect(service.readings).not.toHaveBeenCalled();
    expect(service.journal).not.toHaveBeenCalled();
  });

  it("refuse in words while another one is being sent", async () => {
    service.readings.mockRejectedValueOnce(new AppError("export-running", "Wait."));
    const refused = await fetch(`${url}/readings.csv`);
    expect(refused.status).toBe(409);
    expect(await refused.json()).toMatchObject({ code: "export-running", detail: "Wait." });
  });
});
