import { randomUUID } from "node:crypto";
import { once } from "node:events";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { createServer, type Server } from "node:http";
import type { AddressInfo } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import fc from "fast-check";
import { afterAll, beforeAll, describe, expect, it, vi } from "vitest";
import { AppError } from "../../../station/errors.js";
import { unknownDisk } from "../../../station/journal/disk/judge.js";
import type { SentEntry } from "../../../station/model/entry.js";
import type { NowSnapshot, Problem } from "../../../station/model/now.js";
import type { Run, RunSettings } from "../../../station/model/run.js";
import type { SoundnessView } from "../../../station/model/soundness.js";
import type { WorkshopFacts } from "../../../station/model/workshop.js";
import { createApp, type Services } from "../../../station/web/app.js";
import { NO_CAUTIONS } from "./no-cautions.js";
import { emptySnapshot } from "./snapshot.js";

const run = { id: randomUUID(), number: 1, settings: {}, startWall: 0, endWall: 1 } as unknown as Run;
const unasked = async (): Promise<never> => {
  throw new Error("Nobody asks for it here.");
};
const SOUND: SoundnessView = { state: "sound", lookedWall: 0, text: "It is sound.", doubt: null };
const services = {
  now: {
    snapshot: () => ({ start: "x" }) as unknown as NowSnapshot,
    series: vi.fn(async () => ({ channel: "a", unit: "Cel" as const, from: 0, to: 1, buckets: [] })),
    opticsCleaned: async () => ({ value: { cleanedWall: 5, agoMs: 0 }, kept: true }),
  },
  runs: {
    list: vi.fn(async () => ({ runs: [], more: false })),
    find: async (id: string) => (id === run.id ? { ...run, placed: null } : null),
    series: vi.fn(async () => ({ channel: "a", unit: "Cel" as const, from: 0, to: 1, buckets: [] })),
    begin: vi.fn(async (_settings: RunSettings | null) => ({ value: run, kept: true })),
    end: async () => {
      throw new AppError("run-not-open", "No run is open.");
    },
    correct: vi.fn(async (_id: string, settings: RunSettings) => ({
      value: { ...run, settings },
      kept: true,
    })),
    setJobSheet: vi.fn(async (settings: RunSettings) => ({ value: settings, kept: true })),
  },
  lots: {
    list: async () => [],
    find: unasked,
    put: vi.fn(async (id: string) => ({ value: { id }, kept: true })),
  },
  plans: {
    list: async () => [],
    text: unasked,
    table: unasked,
    preview: async () => ({ cuts: 1, sentences: [] }),
    lay: vi.fn(async (id: string) => ({ value: { id }, kept: true })),
    phase: unasked,
    checked: unasked,
    gradingSheet: unasked,
    outcome: unasked,
    again: unasked,
    enter: vi.fn(async (entries: readonly SentEntry[]) => ({
      value: entries.map(({ entry }) => ({ entry, became: "kept" as const, why: null })),
      kept: true,
    })),
  },
  labels: { labels: unasked, codesOf: unasked, engraved: () => "" },
  photos: { add: unasked, find: unasked, lightness: unasked },
  decisions: { find: unasked, decided: unasked, sheet: unasked, onSheet: unasked },
  pastRuns: { list: async () => ({ runs: [], total: 0 }), take: unasked },
  review: {
    overview: async () => Buffer.from("{}"),
    badRun: vi.fn(async () => Buffer.from("{}")),
    materials: vi.fn(async () => Buffer.from("{}")),
    drift: vi.fn(async () => Buffer.from("{}")),
  },
  workshop: {
    view: async () => ({ facts: {}, focus: null }),
    put: async (facts: WorkshopFacts) => ({ value: facts, kept: true }),
    focusFor: unasked,
    maintenance: async () => ({ last: [], log: [] }),
    maintained: async () => ({ value: null, kept: true }),
    upkeepOf: async () => [],
  },
  alarms: {
    standing: () => [],
    definitions: () => [],
    log: vi.fn(async () => ({ transitions: [], more: false })),
    acknowledge: vi.fn(async () => ({ value: null, kept: true })),
  },
  marks: {
    marks: vi.fn(async () => ({
      runs: [],
      alarms: [],
      maintenance: [],
      clock: [],
      crowds: [],
    })),
    span: async () => ({ from: 5, to: 9 }),
  },
  cautions: NO_CAUTIONS,
  journal: { view: () => ({ file: "/somewhere/journal.sqlite", disk: unknownDisk(null), soundness: SOUND }) },
  tables: {
    runs: vi.fn(async function* (): AsyncGenerator<string> {
      yield "run,start\r\n";
      yield "1,now\r\n";
    }),
    alarms: vi.fn(async function* (): AsyncGenerator<string> {
      yield "time\r\n";
    }),
  },
  exports: {
    wall: () => 0,
    soundness: () => "sound" as const,
    view: () => ({ running: false, trouble: null }),
    readings: unasked,
    journal: unasked,
  },
  backups: {
    view: async () => ({
      folder: null,
      at: null,
      nextWall: null,
      lastGoodWall: null,
      backups: [],
      running: false,
      trouble: null,
    }),
    makeNow: vi.fn(),
  },
  metrics: {
    version: "0.1.0",
    startedWall: () => 0,
    alarms: [],
    snapshot: () => emptySnapshot(),
    journal: () => ({
      ...{ writing: true, held: false, waiting: 0, dropped: 0, lastCommitMono: null, text: "" },
      ...{ commits: null, slow: false, wal: null },
    }),
    disk: () => unknownDisk(null),
    lastBackupWall: () => null,
  },
} satisfies Services;

describe("the web application", () => {
  it("gives the metrics at their own address, in the type of their format", async () => {
    const response = await fetch(`${url}/metrics`);
    expect(response.status).toBe(200);
    // OpenMetrics 1.0, section "Overall Structure": the content type must be this.
    expect(response.headers.get("content-type")).toBe(
      "application/openmetrics-text; version=1.0.0; charset=utf-8",
    );
    expect(await response.text()).toMatch(/^# TYPE station info\n[\s\S]*\n# EOF\n$/);
  });

  let server: Server;
  let url: string;
  const pages = mkdtempSync(join(tmpdir(), "pages-"));
  const logged: string[] = [];
  const send = async (method: string, path: string, body?: string, headers: Record<string, string> = {}) => {
    const response = await fetch(`${url}${path}`, {
      method,
      headers: { ...(body === undefined ? {} : { "content-type": "application/json" }), ...headers },
      ...(body === undefined ? {} : { body }),
    });
    const text = await response.text();
    const type = response.headers.get("content-type") ?? "";
    return {
      status: response.status,
      type,
      body: type.includes("json") ? JSON.parse(text) : text,
      headers: response.headers,
    };
  };

  beforeAll(async () => {
    writeFileSync(join(pages, "index.html"), "<!doctype html><title>pages</title>");
    server = createServer(createApp(services, pages, (_level, message) => logged.push(message)));
    server.listen(0, "127.0.0.1");
    await once(server, "listening");
    url = `http://127.0.0.1:${(server.address() as AddressInfo).port}`;
  });
  afterAll(() => {
    server.close();
    rmSync(pages, { recursive: true });
  });

  it.each([
    ["GET", "/api/nowhere", undefined, 404, "not-found"],
    ["GET", "/nowhere", undefined, 404, "not-found"],
    ["GET", "/assets/nowhere.js", undefined, 404, "not-found"],
    ["GET", "/api/runs?limit=0", undefined, 400, "request-invalid"],
    ["GET", "/api/runs?limit=-1", undefined, 400, "request-invalid"],
    ["GET", "/api/runs?limit=1e9", undefined, 400, "request-invalid"],
    ["GET", "/api/runs?limit=5&limit=6", undefined, 400, "request-invalid"],
    ["GET", "/api/runs?colour=red", undefined, 400, "request-invalid"],
    ["GET", "/api/runs/not-an-id", undefined, 400, "request-invalid"],
    ["GET", `/api/runs/${randomUUID()}`, undefined, 404, "run-unknown"],
    ["GET", "/api/runs/%E0%A4%A", undefined, 400, "request-invalid"],
    ["GET", "/api/series?channel=a&from=2&to=1", undefined, 400, "request-invalid"],
    ["GET", "/api/series?channel=../../etc&from=1&to=2", undefined, 400, "request-invalid"],
    ["GET", "/api/series?channel=a&from=1&to=2&buckets=99999", undefined, 400, "request-invalid"],
    ["GET", "/api/marks?from=2&to=1", undefined, 400, "request-invalid"],
    ["GET", "/api/marks?from=1&to=2&limit=1001", undefined, 400, "request-invalid"],
    ["GET", "/api/marks?from=1", undefined, 400, "request-invalid"],
    ["GET", "/api/span?of=all", undefined, 400, "request-invalid"],
    ["GET", "/api/review?of=all", undefined, 400, "request-invalid"],
    ["GET", "/api/review/runs/12", undefined, 400, "request-invalid"],
    ["GET", "/api/review/materials", undefined, 400, "request-invalid"],
    ["GET", "/api/review/materials?first=a", undefined, 400, "request-invalid"],
    ["GET", "/api/review/materials?first=a&second=", undefined, 400, "request-invalid"],
    ["GET", "/api/review/materials?first=a&second=b&second=c", undefined, 400, "request-invalid"],
    ["GET", `/api/review/materials?first=a&second=${"x".repeat(301)}`, undefined, 400, "request-invalid"],
    ["GET", "/api/review/drift", undefined, 400, "request-invalid"],
    ["GET", "/api/review/drift?reference=a%00b", undefined, 400, "request-invalid"],
    ["GET", "/api/review/drift?reference=a&level=0.5", undefined, 400, "request-invalid"],
    ["POST", "/api/review", "{}", 404, "not-found"],
    ["POST", "/api/runs", "{not json", 400, "request-invalid"],
    ["POST", "/api/runs", '{"settings":{"power_pct":101}}', 400, "request-invalid"],
    ["POST", "/api/runs", '{"settings":{"speed_mm_s":"fast"}}', 400, "request-invalid"],
    ["POST", "/api/runs", '{"settings":{"passes":1.5}}', 400, "request-invalid"],
    ["POST", "/api/runs", '{"settings":{"laser":"on"}}', 400, "request-invalid"],
    ["POST", "/api/runs", '{"settings":{"material":"a\\u0000b"}}', 400, "request-invalid"],
    ["POST", "/api/runs", `{"settings":{"note":"${"x".repeat(501)}"}}`, 400, "request-invalid"],
    ["POST", "/api/runs", `"${"x".repeat(70_000)}"`, 400, "request-invalid"],
    ["POST", `/api/runs/${run.id}/end`, undefined, 409, "run-not-open"],
    ["PUT", "/api/job-sheet", "[]", 400, "request-invalid"],
    ["PUT", "/api/job-sheet", undefined, 400, "request-invalid"],
    ["PATCH", `/api/runs/${run.id}/settings`, '{"power_pct":0}', 400, "request-invalid"],
    ["POST", "/api/alarms/x/acknowledge", '{"by":""}', 400, "request-invalid"],
  ])("answers %s %s with a problem", async (method, path, body, status, code) => {
    const answer = await send(method, path, body);
    expect(answer.status).toBe(status);
    expect(answer.type).toContain("application/problem+json");
    const problem = answer.body as Problem;
    expect(problem).toMatchObject({ status, code, type: `/problems/${code}` });
    expect(problem.detail.length).toBeGreaterThan(10);
  });

  it("tells at the address of a problem's type what it means", async () => {
    const answer = await send("GET", "/problems/run-open");
    expect(answer).toMatchObject({ status: 200, body: "run-open (409): A run is already open\n" });
    expect((await send("GET", "/problems/nothing")).status).toBe(404);
  });

  it("names the field that is wrong and what was expected there", async () => {
    const { body } = await send("POST", "/api/runs", '{"settings":{"power_pct":101,"passes":0}}');
    expect((body as Problem).errors).toEqual([
      { path: "settings.power_pct", expected: "at most 100" },
      { path: "settings.passes", expected: "at least 1" },
    ]);
  });

  it("hands on what is right, as it was typed", async () => {
    const settings = {
      material: "<script>alert(1)</script>",
      lot: 'L 3 / "new"',
      power_pct: 60,
      air_assist: "high",
    };
    const answer = await send("POST", "/api/runs", JSON.stringify({ settings }));
    expect(answer.status).toBe(201);
    expect(services.runs.begin).toHaveBeenLastCalledWith(settings);
    await send("POST", "/api/runs");
    expect(services.runs.begin).toHaveBeenLastCalledWith(null);
    await send("GET", "/api/runs?before=7&flagged=true");
    expect(services.runs.list).toHaveBeenLastCalledWith({ before: 7, limit: 50, flaggedOnly: true });
    await send("POST", "/api/alarms/sensor-dead%3Acoolant-in/acknowledge", '{"by":"phone"}');
    expect(services.alarms.acknowledge).toHaveBeenLastCalledWith("sensor-dead:coolant-in", "phone");
  });

  it("hands a review's question on, and its answer as the reading thread wrote it", async () => {
    services.review.materials.mockResolvedValueOnce(Buffer.from('{"verdict":"Board ä 3 mm"}'));
    const answer = await send("GET", "/api/review/materials?first=Board+%C3%A4+3+mm&second=B");
    expect(services.review.materials).toHaveBeenLastCalledWith("Board ä 3 mm", "B");
    expect(answer).toMatchObject({ status: 200, body: { verdict: "Board ä 3 mm" } });
    expect(answer.type).toContain("application/json");
    await send("GET", `/api/review/runs/${run.id}`);
    expect(services.review.badRun).toHaveBeenLastCalledWith(run.id);
    await send("GET", "/api/review/drift?reference=B");
    expect(services.review.drift).toHaveBeenLastCalledWith("B");
  });

  it("sends tables as files, and refuses what cannot be read before anything is sent", async () => {
    const response = await fetch(`${url}/api/tables/runs.csv`);
    expect(response.headers.get("content-type")).toContain("text/csv");
    expect(response.headers.get("content-disposition")).toBe('attachment; filename="runs.csv"');
    expect(await response.text()).toBe("run,start\r\n1,now\r\n");
    // biome-ignore lint/correctness/useYield: it fails before it has anything to give
    services.tables.alarms.mockImplementationOnce(async function* () {
      throw new AppError("journal-unusable", "It is damaged.");
    });
    expect(await send("GET", "/api/tables/alarms.csv")).toMatchObject({
      status: 503,
      body: { code: "journal-unusable" },
    });
    // What breaks off in the middle is seen to be broken off.
    services.tables.runs.mockImplementationOnce(async function* () {
      yield "run\r\n";
      throw new AppError("readings-damaged", "They are damaged.");
    });
    await expect(fetch(`${url}/api/tables/runs.csv`).then((broken) => broken.text())).rejects.toThrow();
  });

  it("begins a backup, and says so while it is being made", async () => {
    expect(await send("POST", "/api/backups", "{}")).toMatchObject({ status: 202, body: { folder: null } });
    services.backups.makeNow.mockImplementationOnce(() => {
      throw new AppError("backup-running", "A backup is being made already. Wait until it is done.");
    });
    expect((await send("POST", "/api/backups", "{}")).status).toBe(409);
  });

  it("answers 202 where the disk has not taken it yet", async () => {
    services.runs.begin.mockResolvedValueOnce({ value: run, kept: false });
    expect((await send("POST", "/api/runs", "{}")).status).toBe(202);
    services.alarms.acknowledge.mockResolvedValueOnce({ value: null, kept: false });
    expect((await send("POST", "/api/alarms/coolant-high/acknowledge")).status).toBe(202);
  });

  it("refuses a command that comes from a page of another site, and takes it from its own", async () => {
    const other = await send("POST", "/api/runs", "{}", { origin: "http://elsewhere.example" });
    expect(other.status).toBe(403);
    expect(other.body).toMatchObject({ code: "other-site" });
    expect((await send("POST", "/api/runs", "{}", { origin: url })).status).toBe(201);
    expect((await send("POST", "/api/runs", "{}", { origin: "null" })).status).toBe(403);
  });

  it("gives the pages at their addresses, with no script but its own", async () => {
    for (const path of ["/", "/runs", `/runs/${run.id}`, "/alarms", "/safety"]) {
      const answer = await send("GET", path);
      expect(answer.status).toBe(200);
      expect(answer.body).toContain("<title>pages</title>");
      expect(answer.headers.get("content-security-policy")).toContain("default-src 'self'");
    }
  });

  it("gives a person who mistyped an address the page, and a program a problem", async () => {
    const person = await send("GET", "/no/such/page", undefined, { accept: "text/html,*/*;q=0.8" });
    expect(person).toMatchObject({ status: 404, body: expect.stringContaining("<title>pages</title>") });
    const program = await send("GET", "/no/such/page", undefined, { accept: "*/*" });
    expect(program.body).toMatchObject({ code: "not-found" });
    const asset = await send("GET", "/api/no", undefined, { accept: "text/html" });
    expect(asset.body).toMatchObject({ code: "not-found" });
  });

  it("tells nothing of a mistake of its own but that there was one, and logs the rest", async () => {
    services.runs.list.mockRejectedValueOnce(new Error("secret path /home/x"));
    const answer = await send("GET", "/api/runs");
    expect(answer.status).toBe(500);
    expect(JSON.stringify(answer.body)).not.toContain("secret");
    expect(logged).toContain("a request failed");
  });

  it("never answers any body at all with 5xx", async () => {
    await fc.assert(
      fc.asyncProperty(fc.oneof(fc.json(), fc.string()), async (body) => {
        const answer = await send("PUT", "/api/job-sheet", body);
        expect(answer.status).toBeLessThan(500);
      }),
      { numRuns: 150 },
    );
  });
});
