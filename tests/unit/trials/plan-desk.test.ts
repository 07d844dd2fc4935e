import { afterEach, beforeEach, describe, expect, it } from "vitest";
import type { PlanView, SpecimenView, TrialNow } from "../../../station/model/specimen.js";
import { entry, LOTS, ladder, NOTHING_LATE, planBench } from "./plan-bench.js";

const PLAN = "00000000-0000-4000-8000-00000000000a";
const OTHER = "00000000-0000-4000-8000-00000000000b";

let bench: ReturnType<typeof planBench>;
beforeEach(() => {
  bench = planBench();
  bench.addLots();
});
afterEach(() => {
  expect(bench.failures).toEqual([]);
  bench.remove();
});

function viewOf(id: string): PlanView {
  return bench.reads.plan({ id, late: NOTHING_LATE }) as PlanView;
}

function specimensOf(id: string): SpecimenView[] {
  return viewOf(id).blocks.flatMap(({ specimens }) => specimens);
}

function now(): TrialNow {
  const shown = bench.desk.now();
  if (shown === null) throw new Error("No plan is running.");
  return shown;
}

async function begun(facts = ladder()): Promise<void> {
  await bench.desk.lay(PLAN, facts);
  await bench.desk.phase(PLAN, "running", "wall");
}

async function checked(block: number): Promise<void> {
  await bench.desk.checked(PLAN, block, ["optics", "coolant"], "wall");
}

describe("a plan", () => {
  it("is laid out with every lot at every rung once a block, each with a code of its own", async () => {
    await bench.desk.lay(PLAN, ladder());
    const all = specimensOf(PLAN);
    expect(new Set(all.map(({ code }) => code)).size).toBe(12);
    for (const block of [1, 2]) {
      const cuts = all.filter((each) => each.block === block);
      expect(cuts.map(({ place }) => place)).toEqual([1, 2, 3, 4, 5, 6]);
      const made = cuts.map(({ lot, setting }) => `${LOTS.indexOf(lot as never)} ${setting.speed_mm_s}`);
      expect(made.sort()).toEqual(["0 10", "0 12", "0 14", "1 10", "1 12", "1 14"]);
    }
    expect(all.every(({ lot, setting }) => setting.focus_spacer_mm === (lot === LOTS[0] ? 7 : 6.75))).toBe(
      true,
    );
    expect(all.filter(({ twice }) => twice)).toHaveLength(3);
  });

  it("given twice by the same id is laid out once, in the order it had", async () => {
    await bench.desk.lay(PLAN, ladder());
    const before = specimensOf(PLAN);
    await bench.desk.lay(PLAN, ladder());
    expect(specimensOf(PLAN)).toEqual(before);
  });

  it("of the same id and other facts is refused, for a plan never changes", async () => {
    await bench.desk.lay(PLAN, ladder());
    await expect(bench.desk.lay(PLAN, ladder({ power_pct: 70 }))).rejects.toMatchObject({
      code: "plan-known",
      message: expect.stringMatching(/^Plan 1 has this id and other facts/),
    });
    expect(viewOf(PLAN).facts.power_pct).toBe(60);
  });

  it("of a lot that is not there is refused, and nothing of it is kept", async () => {
    await expect(bench.desk.lay(PLAN, ladder({ lots: [PLAN] }))).rejects.toMatchObject({
      code: "lot-unknown",
    });
    expect(bench.reads.plans(null)).toEqual([]);
  });
});

describe("a running plan", () => {
  it("asks for the checks of a block before its first cut, and names nothing for the job sheet until then", async () => {
    await begun();
    expect(now().need).toEqual({ need: "checks", block: 1, checks: ["optics", "coolant"] });
    expect(bench.sheet().specimen).toBeUndefined();
    await bench.desk.checked(PLAN, 1, ["optics"], "wall");
    expect(now().need).toEqual({ need: "checks", block: 1, checks: ["optics", "coolant"] });
    await checked(1);
    const [first] = specimensOf(PLAN);
    expect(now().need).toEqual({ need: "cut", code: first?.code });
    expect(bench.sheet()).toMatchObject({ specimen: first?.code, ...first?.setting });
  });

  it("gives each run to the specimen that was next, and goes on by itself in the order that was drawn", async () => {
    await begun();
    await checked(1);
    const all = specimensOf(PLAN);
    const cut: (string | undefined)[] = [];
    for (let i = 0; i < 6; i++) cut.push(bench.cut().settings.specimen);
    expect(cut).toEqual(all.slice(0, 6).map(({ code }) => code));
    expect(now().need).toEqual({ need: "checks", block: 2, checks: ["optics", "coolant"] });
    await checked(2);
    for (let i = 0; i < 6; i++) bench.cut();
    expect(now().need).toEqual({ need: "nothing" });
    expect(bench.sheet().specimen).toBeUndefined();
    const states = specimensOf(PLAN);
    expect(states.every(({ state, runs }) => state === "cut" && runs.length === 1)).toBe(true);
    expect(viewOf(PLAN).counts.cut).toBe(12);
  });

  it("keeps to a piece whose run the beam began until somebody says it is done", async () => {
    await begun();
    await checked(1);
    const [first, second] = specimensOf(PLAN);
    bench.cut("laser-on");
    expect(now().need).toEqual({ need: "done", code: first?.code });
    bench.cut("laser-on");
    expect(specimensOf(PLAN)[0]?.runs).toHaveLength(2);
    await bench.desk.enter([entry("step", first?.code ?? "", { step: "done", why: "" })]);
    expect(now().need).toEqual({ need: "cut", code: second?.code });
    expect(bench.sheet().specimen).toBe(second?.code);
  });

  it("records a skip, a spoilt cut, another one first and a repeat as what they are", async () => {
    await begun(ladder({ checks: [] }));
    const [a, b, c] = specimensOf(PLAN).map(({ code }) => code) as [string, string, string];
    await bench.desk.enter([entry("step", a, { step: "skipped", why: "sheet chipped" })]);
    expect(now().need).toEqual({ need: "cut", code: b });
    await bench.desk.enter([entry("step", c, { step: "chosen", why: "" })]);
    expect(bench.sheet().specimen).toBe(c);
    bench.cut();
    expect(now().need).toEqual({ need: "cut", code: b });
    bench.cut();
    await bench.desk.enter([entry("step", b, { step: "spoilt", why: "belt slipped" })]);
    const again = await bench.desk.again(b);
    expect(again.value).toMatchObject({ replaces: b, block: 1, place: 7 });
    expect((await bench.desk.again(b)).value.code).toBe(again.value.code);
    const states = new Map(specimensOf(PLAN).map((each) => [each.code, each]));
    expect(states.get(a)).toMatchObject({ state: "skipped", why: "sheet chipped" });
    expect(states.get(b)).toMatchObject({
      state: "spoilt",
      why: "belt slipped",
      replacedBy: again.value.code,
    });
    expect(states.get(c)).toMatchObject({ state: "cut" });
    await bench.desk.enter([entry("step", a, { step: "waiting", why: "" })]);
    expect(now().need).toEqual({ need: "cut", code: a });
  });

  it("keeps its own specimen on the job sheet, whatever an older page enters there", async () => {
    await begun(ladder({ checks: [] }));
    const [a, b] = specimensOf(PLAN).map(({ code }) => code) as [string, string];
    bench.setSheet({ specimen: b, material: "something older", speed_mm_s: 99 });
    expect(bench.cut().settings).toMatchObject({
      specimen: a,
      speed_mm_s: specimensOf(PLAN)[0]?.setting.speed_mm_s,
    });
  });

  it("leaves the sheet to what a person entered as soon as the next run is of no specimen", async () => {
    const own = { material: "Offcut", speed_mm_s: 40, note: "a sign" };
    bench.setSheet(own);
    await begun(ladder({ layout: { method: "ladder", vary: "speed", rungs: [10], replicates: 1 } }));
    expect(bench.sheet()).toEqual(own);
    await checked(1);
    const [first, second] = specimensOf(PLAN) as [SpecimenView, SpecimenView];
    // Nothing that was entered for something else: no note, and no material but the lot's.
    expect(bench.sheet()).toEqual({
      ...first.setting,
      specimen: first.code,
      lot: expect.stringMatching(/^L\d Board/),
      material: expect.stringMatching(/^L\d Board/),
    });
    expect(bench.cut().settings.specimen).toBe(first.code);
    expect(bench.cut().settings.specimen).toBe(second.code);
    expect(now().need).toEqual({ need: "nothing" });
    expect(bench.sheet()).toEqual(own);
    await bench.desk.again(first.code);
    expect(bench.sheet().material).toBe(bench.desk.now()?.specimen?.lotName);
    await bench.desk.phase(PLAN, "paused", null);
    expect(bench.sheet()).toEqual(own);
  });

  it("says in what a run was cut otherwise than planned, and lets a run be given to another specimen", async () => {
    await begun(ladder({ checks: [] }));
    const [a, b] = specimensOf(PLAN) as [SpecimenView, SpecimenView];
    const run = bench.cut("screen", { ...bench.sheet(), speed_mm_s: 11 });
    const speed = a.setting.speed_mm_s;
    expect(specimensOf(PLAN)[0]?.runs[0]?.otherwise).toEqual([
      `speed 11 mm/s where ${speed} mm/s was planned`,
    ]);
    const settings = { ...run.settings, specimen: b.code };
    bench.act({
      name: "runSettingsChanged",
      params: { id: run.id, settings, at: { wall: 0, mono: 2000 }, by: null },
    });
    bench.desk.corrected({ ...run, settings });
    expect(now().need).toEqual({ need: "cut", code: a.code });
    expect(
      specimensOf(PLAN)
        .map(({ state }) => state)
        .slice(0, 2),
    ).toEqual(["waiting", "cut"]);
  });

  it("is paused where another is begun, and is taken up again at the next start of the station", async () => {
    await begun(ladder({ checks: [] }));
    await bench.desk.lay(OTHER, ladder({ title: "Another", checks: [] }));
    await bench.desk.phase(OTHER, "running", null);
    expect(viewOf(PLAN).phase).toBe("paused");
    bench.cut();
    const shown = now();
    const next = bench.restarted();
    await next.takeUp();
    expect(next.now()).toEqual(shown);
    await bench.desk.phase(OTHER, "closed", null);
    expect(bench.desk.now()).toBeNull();
    expect(bench.sheet().specimen).toBeUndefined();
  });

  it("is paused where another is begun, also where this start of the station knows nothing of it", async () => {
    await begun(ladder({ checks: [] }));
    await bench.desk.lay(OTHER, ladder({ title: "Another", checks: [] }));
    const next = bench.restarted();
    await next.phase(OTHER, "running", null);
    expect([viewOf(PLAN).phase, viewOf(OTHER).phase]).toEqual(["paused", "running"]);
  });

  it("forgets nothing that was entered while the disk was stuck, though another plan was begun and left meanwhile", async () => {
    await begun(ladder({ checks: [] }));
    await bench.desk.lay(OTHER, ladder({ title: "Another", checks: [] }));
    const [a, b] = specimensOf(PLAN).map(({ code }) => code) as [string, string];
    let release = () => {};
    bench.hold(new Promise<void>((resolve) => (release = resolve)));
    const pressed = [
      bench.desk.enter([entry("step", a, { step: "skipped", why: "chipped" })]),
      bench.desk.phase(OTHER, "running", null),
      bench.desk.phase(PLAN, "running", null),
    ];
    await expect.poll(() => now().plan.id).toBe(PLAN);
    await expect.poll(() => now().need).toEqual({ need: "cut", code: b });
    release();
    await Promise.all(pressed);
    expect(now().need).toEqual({ need: "cut", code: b });
    expect([viewOf(PLAN).phase, viewOf(OTHER).phase]).toEqual(["running", "paused"]);
  });

  it("is taken up with what came in before it was, and is not on the disk yet", async () => {
    await begun(ladder({ checks: [] }));
    const [a, b] = specimensOf(PLAN).map(({ code }) => code) as [string, string];
    const next = bench.restarted();
    let release = () => {};
    bench.hold(new Promise<void>((resolve) => (release = resolve)));
    const entering = next.enter([entry("step", a, { step: "skipped", why: "chipped" })]);
    await next.takeUp();
    expect(next.now()?.need).toEqual({ need: "cut", code: b });
    release();
    await entering;
    expect(next.now()?.need).toEqual({ need: "cut", code: b });
  });

  it("takes back what could not be kept, and nothing that is kept already or is on its way by another call", async () => {
    await begun(ladder({ checks: [] }));
    const [a, b, c] = specimensOf(PLAN).map(({ code }) => code) as [string, string, string];
    const skipped = entry("step", a, { step: "skipped", why: "chipped" });
    await bench.desk.enter([skipped]);
    expect(now().need).toEqual({ need: "cut", code: b });
    const gone = new Error("closed");
    bench.refuse(gone);
    // Its answer was lost: the phone sends it again, with another beside it.
    const other = entry("step", b, { step: "skipped", why: "" });
    const sending = bench.desk.enter([skipped, other]);
    expect(now().need).toEqual({ need: "cut", code: c });
    await expect(sending).rejects.toBe(gone);
    await expect.poll(() => now().need).toEqual({ need: "cut", code: b });
    // Refused once, and on its way again before that is known.
    let release = () => {};
    bench.hold(new Promise<void>((resolve) => (release = resolve)));
    const first = bench.desk.enter([other]);
    bench.refuse(null);
    bench.hold(null);
    const second = bench.desk.enter([other]);
    release();
    await expect(first).rejects.toBe(gone);
    await second;
    await expect.poll(() => bench.failures).toEqual([gone, gone]);
    // In turn behind what the desk does about it.
    await bench.desk.takeUp();
    expect(now().need).toEqual({ need: "cut", code: c });
    bench.failures.splice(0);
  });

  it("has one specimen in the place of another, however often that is asked for at once", async () => {
    await begun(ladder({ checks: [] }));
    const { specimen } = bench.cut().settings;
    const made = await Promise.all([1, 2, 3].map(() => bench.desk.again(specimen ?? "")));
    expect(new Set(made.map(({ value }) => value.code)).size).toBe(1);
    expect(specimensOf(PLAN).filter(({ replaces }) => replaces === specimen)).toHaveLength(1);
  });

  it("goes on while the disk is stuck, and says that it is not kept yet", async () => {
    await begun();
    let release = () => {};
    bench.hold(new Promise<void>((resolve) => (release = resolve)));
    const pressing = bench.desk.checked(PLAN, 1, ["optics", "coolant"], "wall");
    expect(now().need.need).toBe("cut");
    expect(viewOf(PLAN).blocks[0]?.checked).toBeNull();
    release();
    expect((await pressing).kept).toBe(true);
    expect(viewOf(PLAN).blocks[0]?.checked?.done).toEqual(["optics", "coolant"]);
  });
});

describe("grades", () => {
  it("are kept once however often they are sent, and a change keeps what it was before", async () => {
    await begun(ladder({ checks: [] }));
    bench.cut();
    const code = specimensOf(PLAN)[0]?.code ?? "";
    const first = entry("grade", code, { value: 2, grading: 1 }, "through");
    const changed = entry("grade", code, { value: 1, grading: 1 }, "through");
    expect((await bench.desk.enter([first])).value).toEqual([
      { entry: first.entry, became: "kept", why: null },
    ]);
    const again = await bench.desk.enter([first, changed]);
    expect(again.value.map(({ became }) => became)).toEqual(["known", "kept"]);
    const second = entry("grade", code, { value: 0, grading: 2 }, "through");
    await bench.desk.enter([second]);
    const [own, other] = specimensOf(PLAN)[0]?.grades ?? [];
    expect(own?.through).toMatchObject({ value: 1, by: "phone", before: [{ value: 2, by: "phone" }] });
    expect(other?.through).toMatchObject({ value: 0, before: [] });
    await bench.desk.enter([entry("grade", code, { value: null, grading: 1 }, "through")]);
    expect(specimensOf(PLAN)[0]?.grades[0].through).toBeUndefined();
    expect(bench.reads.entriesOf({ kind: "grade", subject: code })).toHaveLength(4);
  });

  it("of a specimen that is not there are refused for good, and those beside them are kept", async () => {
    await begun();
    const code = specimensOf(PLAN)[0]?.code ?? "";
    const astray = entry("grade", "AAAAA", { value: 1, grading: 1 }, "through");
    const right = entry("grade", code, { value: 1, grading: 1 }, "through");
    const { value } = await bench.desk.enter([astray, right]);
    expect(value).toEqual([
      { entry: astray.entry, became: "refused", why: "There is no specimen with the code AAAAA." },
      { entry: right.entry, became: "kept", why: null },
    ]);
  });
});
