import { randomUUID } from "node:crypto";
import { readdirSync } from "node:fs";
import { join } from "node:path";
import sharp from "sharp";
import { afterAll, beforeAll, expect, it } from "vitest";
import type { LotView } from "../../station/model/lot.js";
import type { NowSnapshot } from "../../station/model/now.js";
import type { PhotoRow } from "../../station/model/photo.js";
import type { GradingSheet, PlanView, Specimen } from "../../station/model/specimen.js";
import { fromPhone } from "../unit/trials/photos/pictures.js";
import { entry, LOTS, ladder, lotFacts } from "../unit/trials/plan-bench.js";
import { BoardStation } from "./board-station.js";

const PLAN = randomUUID();
const rig = new BoardStation();
const now = () => rig.get<NowSnapshot>("/api/now");
const plan = () => rig.get<PlanView>(`/api/plans/${PLAN}`);
const done = <T = unknown>(method: string, path: string, body?: unknown) => rig.done<T>(method, path, body);
const cut = () => rig.cut();
async function sendPhoto(query: Record<string, string>, bytes: Buffer) {
  const response = await fetch(`${rig.station.url}/api/photos?${new URLSearchParams(query)}`, {
    method: "POST",
    headers: { "content-type": "image/jpeg" },
    body: new Uint8Array(bytes),
  });
  return {
    status: response.status,
    body: (await response.json()) as PhotoRow & { code?: string; detail?: string },
  };
}
beforeAll(() => rig.plugIn());
afterAll(() => rig.end());

it("takes two lots and a plan, and gives each run to the specimen whose turn it is, over a pulled plug", async () => {
  await done("PUT", `/api/lots/${LOTS[0]}`, { facts: lotFacts({ thickness_mm: [3, 3.1] }) });
  await done("PUT", `/api/lots/${LOTS[1]}`, {
    facts: lotFacts({ product: "Harbour board", stock: "plywood" }),
  });
  const lots = await rig.station.get<{ lots: LotView[] }>("/api/lots");
  expect(lots.lots.map(({ name }) => name)).toEqual(["L2 Harbour board", "L1 Quayside board"]);
  await done("PUT", `/api/plans/${PLAN}`, ladder({ checks: ["optics"] }));
  await done("POST", `/api/plans/${PLAN}/phase`, { phase: "running" });
  expect((await now()).trial?.need).toEqual({ need: "checks", block: 1, checks: ["optics"] });
  await done("POST", `/api/plans/${PLAN}/checks`, { block: 1, done: ["optics"] });
  const order = (await plan()).blocks[0]?.specimens.map(({ code }) => code) ?? [];
  expect([await cut(), await cut()]).toEqual(order.slice(0, 2));
  await rig.station.kill();
  await rig.start();
  await expect
    .poll(async () => (await now()).trial?.need, { timeout: 60_000 })
    .toEqual({ need: "cut", code: order[2] });
  expect([await cut(), await cut()]).toEqual(order.slice(2, 4));
  // Its checks were pressed, and its runs are its own, as the journal has it.
  const view = await plan();
  expect(view.counts).toMatchObject({ cut: 4, waiting: 8 });
  const [first] = view.blocks[0]?.specimens ?? [];
  expect(first?.runs[0]?.flags).toBeDefined();
  expect(first?.runs[0]?.otherwise).toEqual([]);
});

it("keeps its specimen on the job sheet and in a run that an older page begins with settings of its own", async () => {
  const before = (await plan()).blocks[0]?.specimens.find(({ state }) => state === "waiting");
  const older = { specimen: "AAAAA", material: "something older", speed_mm_s: 99, note: "mine" };
  const sheet = await done<object>("PUT", "/api/job-sheet", older);
  const its = { specimen: before?.code, speed_mm_s: before?.setting.speed_mm_s };
  expect(sheet).toMatchObject(its);
  expect((await now()).jobSheet).toEqual(sheet);
  const run = await done<{ id: string; settings: object }>("POST", "/api/runs", { settings: older });
  expect(run.settings).toMatchObject(its);
  await done("POST", `/api/runs/${run.id}/end`);
  expect((await plan()).counts).toMatchObject({ cut: 5, waiting: 7 });
});

it("gives a plan's specimens as a table for a spreadsheet", async () => {
  const response = await fetch(`${rig.station.url}/api/plans/${PLAN}/specimens.csv`);
  expect([response.status, response.headers.get("content-type")]).toEqual([
    200,
    expect.stringMatching(/^text\/csv/),
  ]);
  const lines = (await response.text()).trimEnd().split("\r\n");
  expect(lines).toHaveLength(13);
  expect(lines[0]).toMatch(/^run,started_at,material,lot,block,thickness_mm,speed_mm_s,/);
  expect((await rig.station.send("GET", `/api/plans/${randomUUID()}/specimens.csv`)).status).toBe(404);
});

it("tells who grades blind neither lot nor setting, and keeps what is sent twice once", async () => {
  const [first] = (await plan()).blocks[0]?.specimens ?? [];
  const code = first?.code ?? "";
  const typed = `${code.slice(0, 2).toLowerCase()}-${code.slice(2)}`;
  const sheet = await rig.station.get<GradingSheet>(`/api/specimens/${typed}`);
  expect(sheet).toMatchObject({ code, blind: true, lotName: null, setting: null, grades: {} });
  expect(JSON.stringify(sheet)).not.toMatch(/Quayside|Harbour|mm_s/);
  const given = entry("grade", code, { value: 2, grading: 1 }, "through");
  const answers = [await done("POST", "/api/entries", { entries: [given] })];
  answers.push(await done("POST", "/api/entries", { entries: [given] }));
  expect(answers).toMatchObject([{ entries: [{ became: "kept" }] }, { entries: [{ became: "known" }] }]);
  const second = await rig.station.get<GradingSheet>(`/api/specimens/${code}?grading=2`);
  expect(second.grades).toEqual({});
  const wrong = await fetch(`${rig.station.url}/api/specimens/${code.slice(0, 4)}`);
  expect([wrong.status, (await wrong.json()).detail]).toEqual([404, "A code has 5 characters, this has 4."]);
});

it("keeps a photo once, without its place, and gives it back; what is none is refused with words", async () => {
  const code = (await plan()).blocks[0]?.specimens[0]?.code ?? "";
  const query = { entry: randomUUID(), subject: code, note: "edge" };
  const sent = await fromPhone();
  expect(sent.includes("Exif")).toBe(true);
  const { status, body } = await sendPhoto(query, sent);
  expect([status, body]).toMatchObject([201, { note: "edge", width: 300, height: 400 }]);
  expect((await sendPhoto(query, sent)).body.sha256).toBe(body.sha256);
  const kept = Buffer.from(
    await (await fetch(`${rig.station.url}/api/photos/${body.sha256}.jpg`)).arrayBuffer(),
  );
  expect(kept.byteLength).toBe(body.bytes);
  const metadata = await sharp(kept).metadata();
  expect([metadata.exif, metadata.orientation]).toEqual([undefined, undefined]);
  const small = await fetch(`${rig.station.url}/api/photos/${body.sha256}-small.jpg`);
  expect([small.status, small.headers.get("content-type")]).toEqual([200, "image/jpeg"]);
  const script = Buffer.from('<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>');
  const refused = await sendPhoto({ ...query, entry: randomUUID() }, script);
  expect([refused.status, refused.body.code]).toEqual([415, "photo-type"]);
  for (const name of ["..%2f..%2fjournal.sqlite", "%2e%2e.jpg", `${"0".repeat(64)}.jpg`]) {
    const answer = await fetch(`${rig.station.url}/api/photos/${name}`);
    expect([name, answer.status]).toEqual([
      name,
      expect.toSatisfy((code: number) => code === 400 || code === 404),
    ]);
  }
  const sheet = await rig.station.get<GradingSheet>(`/api/specimens/${code}`);
  expect(sheet.photos.map(({ sha256 }) => sha256)).toEqual([body.sha256]);
  const files = readdirSync(join(rig.folder, "journal", "photos"), { recursive: true, withFileTypes: true });
  expect(files.filter((file) => file.isFile())).toHaveLength(2);
});

it("measures how light an edge is after the grey card in the photo", async () => {
  const code = (await plan()).blocks[0]?.specimens[1]?.code ?? "";
  // A card of two patches, and an edge between them in lightness, in a photo that has half of the light.
  const grey = (value: number, left: number) => ({
    input: {
      create: { width: 100, height: 100, channels: 3 as const, background: { r: value, g: value, b: value } },
    },
    ...{ left, top: 0 },
  });
  const photo = await sharp({ create: { width: 300, height: 100, channels: 3, background: "black" } })
    .composite([grey(60, 0), grey(150, 100), grey(119, 200)])
    .png()
    .toBuffer();
  const { body } = await sendPhoto({ entry: randomUUID(), subject: code }, photo);
  const area = (x: number) => ({ x: x + 10, y: 10, width: 80, height: 80 });
  // sRGB 60, 150 and 119 are 4.5, 30.5 and 18.4 % of the luminance of white (IEC 61966-2-1); twice as much is L* 36.1, 82.4
  // and 67.2 (CIE 15; both reckoned by hand from the formulas, which are from memory).
  const card = [
    { ...area(0), known: 36.1 },
    { ...area(100), known: 82.4 },
  ];
  const answer = await done("POST", `/api/photos/${body.sha256}.jpg/lightness`, {
    card,
    areas: { edge: area(200) },
  });
  const { edge } = answer as { edge: { lightness: number; sd: number; n: number; warnings: string[] } };
  expect(edge).toMatchObject({ n: 6400, warnings: [] });
  expect(Math.abs(edge.lightness - 67.2)).toBeLessThan(0.7);
  expect(edge.sd).toBeLessThan(1);
  const outside = { card, areas: { edge: area(250) } };
  const refused = await rig.station.send("POST", `/api/photos/${body.sha256}.jpg/lightness`, outside);
  expect(refused).toMatchObject({
    status: 400,
    body: { detail: expect.stringMatching(/An area lies in the picture/) },
  });
});

it("lets a piece be cut again under a code of its own, and pauses and goes on", async () => {
  const spoilt = (await plan()).blocks[0]?.specimens[0]?.code ?? "";
  await done("POST", "/api/entries", { entries: [entry("step", spoilt, { step: "spoilt", why: "belt" })] });
  const again = (await done("POST", `/api/specimens/${spoilt}/again`)) as Specimen;
  expect(again).toMatchObject({ replaces: spoilt, place: 7 });
  await done("POST", `/api/plans/${PLAN}/phase`, { phase: "paused" });
  expect((await now()).trial).toBeNull();
  expect(await cut()).toBeUndefined();
  await done("POST", `/api/plans/${PLAN}/phase`, { phase: "running" });
  await done("POST", "/api/entries", { entries: [entry("step", again.code, { step: "chosen", why: "" })] });
  expect(await cut()).toBe(again.code);
});

it("keeps what is done to the machine, and what the owner says of it", async () => {
  await done("POST", "/api/maintenance", { kind: "lens-swapped", note: "50 mm" });
  await done("POST", "/api/maintenance", { kind: "optics-cleaned" });
  await cut();
  const { last } = await rig.station.get<{ last: { kind: string; laserHours: number }[] }>(
    "/api/maintenance",
  );
  expect(last.map(({ kind }) => kind)).toEqual(["optics-cleaned", "lens-swapped"]);
  expect(last.every(({ laserHours }) => laserHours >= 0 && laserHours < 0.1)).toBe(true);
  expect((await now()).optics.cleanedWall).not.toBeNull();
  const facts = { lens_focal_mm: 50.8, beam_mm: 6, spacer_mm: 7, spacer_for_mm: 3 };
  await done("PUT", "/api/workshop", { facts });
  await rig.station.stop();
  await rig.start();
  const workshop = await rig.station.get<{ facts: object; focus: { spotMm: number } }>("/api/workshop");
  expect(workshop).toMatchObject({ facts });
  const focus = await rig.station.get<{ lots: { spacerMm: number }[] }>(`/api/focus?lots=${LOTS.join(",")}`);
  expect(focus.lots.map(({ spacerMm }) => spacerMm)).toEqual([6.975, null]);
});

it("takes past runs in from a spreadsheet: tried first, all or none, and once", async () => {
  const head = "run,started_at,material,speed_mm_s,power_pct,outcome,coolant_C,glue\n";
  const good = `${head}A1,2026-05-04T14:30Z,board,12,60,finger,18.5,none\nA2,,board,14,60,stayed,,\n`;
  const post = async (text: string, query: string) => {
    const response = await fetch(`${rig.station.url}/api/past-runs${query}`, {
      method: "POST",
      headers: { "content-type": "text/csv" },
      body: text,
    });
    return [response.status, await response.json()];
  };
  expect(await post(good, "")).toMatchObject([200, { rows: 2, badRows: 0, kept: null, notes: ["glue"] }]);
  const wrong = `${good}A3,,board,,60,stayed,,\n`;
  const bad = [{ line: 4, column: "speed_mm_s", found: "" }];
  expect(await post(wrong, "?dry=false")).toMatchObject([200, { bad, kept: null }]);
  expect(await rig.station.get("/api/past-runs")).toEqual({ runs: [], total: 0 });
  expect(await post(good, "?dry=false")).toMatchObject([200, { kept: { now: 2, before: 0 } }]);
  expect(await post(good, "?dry=false")).toMatchObject([200, { kept: { now: 0, before: 2 } }]);
  const { runs } = await rig.station.get<{ runs: { body: object }[] }>("/api/past-runs");
  expect(runs.map(({ body }) => body)).toMatchObject([
    { run: "A2", conditions: {} },
    { run: "A1", conditions: { coolant_C: 18.5 }, notes: { glue: "none" } },
  ]);
  expect(await rig.station.get("/api/past-runs?limit=1")).toMatchObject({
    runs: [{ body: { run: "A2" }, enteredWall: null }],
    total: 2,
  });
  const { columns } = await rig.station.get<{ columns: { name: string }[] }>("/api/past-runs/columns");
  expect(columns.map(({ name }) => name)).toContain("focus_error_mm");
  const [status, problem] = await post("run;material\n", "");
  expect([status, problem]).toMatchObject([400, { code: "import-refused" }]);
});
