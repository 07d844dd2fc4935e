import { randomUUID } from "node:crypto";
import { once } from "node:events";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { createServer, type Server } from "node:http";
import type { AddressInfo } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import fc from "fast-check";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { AppError } from "../../../station/errors.js";
import type { Problem } from "../../../station/model/now.js";
import { createApp } from "../../../station/web/app.js";
import { aGate, type GateRig } from "./a-gate.js";
import { run, services } from "./services.js";

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
  let rig: GateRig;
  const unasked = () => {
    throw new Error("Nobody asks for it here.");
  };
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
    rig = await aGate();
    const { access, gate } = rig;
    const all = { ...services, access: { access, shown: unasked, deeds: unasked } };
    server = createServer(createApp(all, gate, pages, (_level, message) => logged.push(message)));
    server.listen(0, "127.0.0.1");
    await once(server, "listening");
    url = `http://127.0.0.1:${(server.address() as AddressInfo).port}`;
  });
  afterAll(async () => {
    server.close();
    await rig.remove();
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
    expect(await send("POST", "/api/outward/mail/test", '{"by":"Wall screen"}')).toMatchObject({
      status: 200,
      body: { sent: false },
    });
    expect(services.outward.test).toHaveBeenLastCalledWith("mail", "Wall screen");
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
