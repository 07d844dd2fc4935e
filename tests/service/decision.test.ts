import { randomUUID } from "node:crypto";
import { afterAll, beforeAll, expect, it } from "vitest";
import type { DecisionAnswer, SettingsSheet } from "../../station/model/decision.js";
import type { PlanView } from "../../station/model/specimen.js";
import { entry, LOTS, ladder, lotFacts } from "../unit/trials/plan-bench.js";
import { BoardStation } from "./board-station.js";

const PLAN = randomUUID();
const rig = new BoardStation();
const decision = () => rig.get<DecisionAnswer>(`/api/plans/${PLAN}/decision`);
const done = (method: string, path: string, body?: unknown) => rig.done(method, path, body);

beforeAll(() => rig.plugIn());
afterAll(() => rig.end());

it("says what a plan shows from the grades of its specimens, and what it does not", async () => {
  await done("PUT", `/api/lots/${LOTS[0]}`, { facts: lotFacts() });
  await done("PUT", `/api/lots/${LOTS[1]}`, { facts: lotFacts({ product: "Harbour board" }) });
  await done("PUT", `/api/plans/${PLAN}`, ladder({ checks: [] }));
  await done("POST", `/api/plans/${PLAN}/phase`, { phase: "running" });
  const { view: before } = await decision();
  expect(before.notKnown).toContain(
    "Fuzz on the back: nothing was entered for L1 Quayside board and L2 Harbour board.",
  );
  for (let i = 0; i < 12; i++) await rig.cut();
  const plan = await rig.station.get<PlanView>(`/api/plans/${PLAN}`);
  const entries = plan.blocks
    .flatMap(({ specimens }) => specimens)
    .flatMap(({ code, lot }) => [
      entry("grade", code, { value: 0, grading: 1 }, "through"),
      entry("grade", code, { value: lot === LOTS[0] ? 0 : 1, grading: 1 }, "back_fuzz"),
    ]);
  await done("POST", "/api/entries", { entries });
  const { view, decisions, sheets } = await decision();
  expect(view.sentences).toContain(
    "Fuzz on the back: L1 Quayside board is better than L2 Harbour board by 1 grade (both limits 1 grade, 6 pairs).",
  );
  expect(view.conditions.lots.map(({ cut }) => cut)).toEqual([6, 6]);
  expect(view.settings.map(({ foundMmS, speedMmS }) => [foundMmS, speedMmS])).toEqual([
    [14, 12.6],
    [14, 12.6],
  ]);
  expect([decisions, sheets.map(({ lines }) => lines)]).toEqual([[], [[], []]]);
});

it("keeps what the owner decided, the earlier ones too, over a pulled plug, and once where it is sent twice", async () => {
  const first = { lot: LOTS[1], reason: "cheaper", by: "phone", entry: randomUUID() };
  await done("POST", `/api/plans/${PLAN}/decision`, first);
  await done("POST", `/api/plans/${PLAN}/decision`, first);
  await done("POST", `/api/plans/${PLAN}/decision`, { lot: LOTS[0], reason: "less fuzz to sand" });
  await rig.station.kill();
  await rig.start();
  await expect
    .poll(async () => (await decision()).decisions, { timeout: 60_000 })
    .toMatchObject([
      { lot: LOTS[0], lotName: "L1 Quayside board", reason: "less fuzz to sand" },
      { lot: LOTS[1], reason: "cheaper", by: "phone" },
    ]);
  const wrong = await rig.station.send("POST", `/api/plans/${PLAN}/decision`, {
    lot: randomUUID(),
    reason: "none of them",
  });
  expect(wrong).toMatchObject({ status: 404, body: { code: "lot-unknown" } });
  const unsaid = await rig.station.send("POST", `/api/plans/${PLAN}/decision`, { lot: null, reason: "" });
  expect(unsaid.status).toBe(400);
  const nowhere = await rig.station.send("GET", `/api/plans/${randomUUID()}/decision`);
  expect(nowhere).toMatchObject({ status: 404, body: { code: "plan-unknown" } });
});

it("keeps a lot's settings sheet: the latest for each thing, with what it was before", async () => {
  const line = (speed_mm_s: number) => ({
    ...{ what: "Cut through", speed_mm_s, power_pct: 60, passes: 1, focus_spacer_mm: 7, margin_pct: 10 },
    ...{ conditions: "coolant 17 to 19 °C", plan: PLAN },
  });
  const path = `/api/lots/${LOTS[0]}/sheet`;
  await done("POST", path, line(12.6));
  await done("POST", path, line(12));
  const sheet = await rig.station.get<SettingsSheet>(path);
  expect(sheet).toMatchObject({
    lot: { name: "L1 Quayside board" },
    lines: [{ body: { speed_mm_s: 12 }, planMark: "P1", before: [{ body: { speed_mm_s: 12.6 } }] }],
  });
  expect((await decision()).sheets[0]).toEqual(sheet);
  const wrong = await rig.station.send("POST", path, line(-1));
  expect(wrong.status).toBe(400);
  expect((await rig.station.get<SettingsSheet>(path)).lines).toHaveLength(1);
});
