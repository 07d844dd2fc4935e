import { randomUUID } from "node:crypto";
import { join } from "node:path";
import { afterAll, beforeAll, expect, it } from "vitest";
import type { RunRow } from "../../station/model/now.js";
import type { ReviewRow } from "../../station/model/review.js";
import type {
  BadRunView,
  DriftView,
  MaterialsView,
  ReviewOverview,
} from "../../station/model/review-views.js";
import type { PlanView, SpecimenOutcome, SpecimenView } from "../../station/model/specimen.js";
import { history } from "../bench/histories.js";
import { entry, LOTS, ladder, lotFacts } from "../unit/trials/plan-bench.js";
import { BoardStation } from "./board-station.js";
import { pastCsv } from "./past-csv.js";
import { station } from "./station-command.js";

const PLAN = randomUUID();
const FIRST = "Quayside board 3 mm";
const SECOND = "Harbour board 3 mm";
const rig = new BoardStation();
const done = (method: string, path: string, body?: unknown) => rig.done(method, path, body);
const overview = () => rig.get<ReviewOverview>("/api/review");
const materials = (first: string, second: string) =>
  `/api/review/materials?${new URLSearchParams({ first, second })}`;
const problem = async (path: string) => {
  const { status, body } = await rig.station.send("GET", path);
  return { status, ...(body as { code: string; detail: string }) };
};

let all: SpecimenView[];
const runOf = (specimen: SpecimenView | undefined) => specimen?.runs[0] as { id: string; number: number };
/** The fastest rung of the first lot was not through. */
const isBad = ({ lot, setting }: SpecimenView) => lot === LOTS[0] && setting.speed_mm_s === 14;

beforeAll(() => rig.plugIn());
afterAll(() => rig.end());

it("has nothing to say of a journal without runs, and says so", async () => {
  const { answer, ...view } = await overview();
  expect(view).toEqual({ runs: 0, badRuns: [], stocks: [], warnings: [] });
  expect(answer).toMatchObject({ n: 0, bad: 0 });
  expect(answer.sentence).toMatch(/nothing can be told/);
  expect(answer.conditions.map(({ verdict }) => verdict)).toEqual(Array(6).fill("cannot tell"));
  expect(await problem(materials(FIRST, SECOND))).toMatchObject({ status: 404, code: "stock-unknown" });
});

it("takes the runs of a plan with their stamps, as their specimens were graded", async () => {
  await done("PUT", `/api/lots/${LOTS[0]}`, { facts: lotFacts() });
  await done("PUT", `/api/lots/${LOTS[1]}`, { facts: lotFacts({ product: "Harbour board" }) });
  await done("PUT", `/api/plans/${PLAN}`, ladder({ checks: [] }));
  await done("POST", `/api/plans/${PLAN}/phase`, { phase: "running" });
  for (let i = 0; i < 12; i++) await rig.cut();
  expect(await overview()).toMatchObject({ runs: 12, badRuns: [], answer: { n: 0 } });
  const plan = await rig.get<PlanView>(`/api/plans/${PLAN}`);
  all = plan.blocks.flatMap(({ specimens }) => specimens);
  await done("POST", "/api/entries", {
    entries: all.map((each) =>
      entry("grade", each.code, { value: isBad(each) ? 3 : 0, grading: 1 }, "through"),
    ),
  });
  const { answer, badRuns, stocks } = await overview();
  expect(answer).toMatchObject({ n: 12, bad: 2 });
  const bad = all.filter(isBad).map((each) => `Run ${runOf(each).number}`);
  expect(badRuns.map(({ name }) => name)).toEqual(bad.reverse());
  expect(badRuns[0]).toMatchObject({ material: FIRST, lot: "L1", speed_mm_s: 14, past: false });
  expect(stocks.map(({ name, n }) => `${name}: ${n}`).sort()).toEqual([`${SECOND}: 6`, `${FIRST}: 6`]);
});

it("explains a bad run by its conditions as they were stamped, and no other", async () => {
  const bad = runOf(all.find(isBad));
  const { answer, about, coolantRange } = await rig.get<BadRunView>(`/api/review/runs/${bad.id}`);
  expect(answer).toMatchObject({ run: bad.id, name: `Run ${bad.number}` });
  expect(answer.sentence).not.toBe("");
  expect(about).toMatchObject({ id: bad.id, lot: "L1" });
  expect(coolantRange).toEqual({ low: expect.any(Number), high: expect.any(Number) });
  const coolant = answer.conditions.find(({ condition }) => condition === "coolant_C");
  const stamped = (await rig.get<{ runs: RunRow[] }>("/api/runs")).runs.find(({ id }) => id === bad.id);
  expect(coolant?.value).toBe(stamped?.coolantMean);
  const good = runOf(all.find((each) => !isBad(each)));
  expect(await problem(`/api/review/runs/${good.id}`)).toMatchObject({
    ...{ status: 409, code: "run-not-bad" },
    detail: `Run ${good.number} was cut through: there is nothing to explain.`,
  });
  expect(await problem(`/api/review/runs/${randomUUID()}`)).toMatchObject({
    status: 404,
    code: "run-unknown",
  });
  const outcome = (each: SpecimenView | undefined) =>
    rig.get<SpecimenOutcome>(`/api/specimens/${each?.code}/outcome`);
  expect(await outcome(all.find(isBad))).toEqual({ through: false, run: bad.id });
  expect(await outcome(all.find((each) => !isBad(each)))).toEqual({ through: true, run: good.id });
});

it("compares two stocks, with the costs of the plan that has both", async () => {
  const view = await rig.get<MaterialsView>(materials(FIRST, SECOND));
  expect(view.answer).toMatchObject({ first: FIRST, second: SECOND, n: 12 });
  expect(view.answer.speeds.map(({ n, cuts }) => [n, cuts.length])).toEqual([
    [6, 6],
    [6, 6],
  ]);
  expect(view.costs?.plan).toEqual({ id: PLAN, mark: "P1", title: "Two boards" });
  expect(view.costs?.sentences.join(" ")).toMatch(/Cost of a good part of L1 Quayside board: not known/);
  // The same question gets the same answer.
  expect(await rig.get<MaterialsView>(materials(FIRST, SECOND))).toEqual(view);
  expect(await problem(materials(FIRST, "cardboard"))).toMatchObject({ status: 404, code: "stock-unknown" });
  expect(await problem(materials(FIRST, FIRST))).toMatchObject({ status: 400, code: "request-invalid" });
  expect((await problem("/api/review/materials?first=a")).detail).toMatch(/second: /);
});

it("has runs from before the station beside its own, and a later grade counts at once", async () => {
  const past = history({ runs: 120, effects: { coolant_C: -1.5 } }, 9, 4);
  const answer = await fetch(`${rig.station.url}/api/past-runs?dry=false`, {
    method: "POST",
    body: pastCsv(past),
  });
  expect(answer.status).toBe(200);
  const before = await overview();
  expect(before.answer.n).toBe(132);
  expect(before.answer.conditions.find(({ condition }) => condition === "coolant_C")?.verdict).toBe(
    "explains",
  );
  const oldest = before.badRuns.at(-1);
  expect(oldest).toMatchObject({ past: true, name: expect.stringMatching(/^Past run \d+$/) });
  const view = await rig.get<BadRunView>(`/api/review/runs/${oldest?.id}`);
  expect([view.about.id, view.coolantRange]).toEqual([oldest?.id, null]);
  const [first] = all.filter((each) => !isBad(each));
  const regraded = entry("grade", first?.code ?? "", { value: 2, grading: 1 }, "through");
  await done("POST", "/api/entries", { entries: [regraded] });
  const after = await overview();
  expect(after.answer.bad).toBe(before.answer.bad + 1);
  expect(after.badRuns.map(({ id }) => id)).toContain(runOf(first).id);
  const costs = await rig.get<MaterialsView>(materials("Birch ply", SECOND));
  expect(costs.costs).toBeNull();
});

it("says of a reference that was cut once or twice that it cannot tell whether the machine drifts", async () => {
  const path = (reference: string) => `/api/review/drift?${new URLSearchParams({ reference })}`;
  const view = await rig.get<DriftView>(path(FIRST));
  expect(view.answer).toMatchObject({ reference: FIRST, verdict: "cannot tell", since: null });
  expect(view.answer.sentence).toMatch(/^Cannot tell yet: of Quayside board 3 mm/);
  expect(view.stocks.map(({ name }) => name)).toContain("Birch ply");
  expect(await problem(path("cardboard"))).toMatchObject({ status: 404, code: "stock-unknown" });
  expect(await problem("/api/review/drift")).toMatchObject({ status: 400, code: "request-invalid" });
});

it("answers at the command line over the journal of a station that runs, as its pages do", async () => {
  const { answer, badRuns } = await overview();
  const asked = station(rig.folder, "review", "--journal", join(rig.folder, "journal"), "--json");
  expect([asked.status, asked.stderr]).toEqual([0, ""]);
  const rows = JSON.parse(asked.stdout) as ReviewRow[];
  const whole = rows.filter(({ run, question }) => run === undefined && question === "conditions");
  expect(whole.map(({ subject, verdict, p }) => [subject, verdict, p])).toEqual(
    answer.conditions.map(({ condition, verdict, p }) => [condition, verdict, p]),
  );
  const names = rows.flatMap(({ run }) => run ?? []);
  expect(new Set(names)).toEqual(new Set(badRuns.map(({ name }) => name)));
  const bad = runOf(all.find(isBad)).number;
  const folder = join(rig.folder, "journal");
  const one = station(rig.folder, "review", "--journal", folder, "--run", String(bad));
  expect(one.stdout).toMatch(new RegExp(`^Run ${bad}, not cut through:\n`));
});
