import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import type { Marks } from "../../station/model/marks.js";
import type { NowSnapshot, RunRow, Series } from "../../station/model/now.js";
import type { PlacedRun, Run } from "../../station/model/run.js";
import { type ClockRig, clockRig, wrongBy } from "./clock-rig.js";
import { QUIET_BENCH } from "./quiet-bench.js";
import { station as command } from "./station-command.js";
import { eventually, type StationProcess, startStation, temporaryFolder } from "./station-process.js";

const HOUR = 3_600_000;
const SLACK_MS = 30_000;
let folder: string;
let remove: () => void;
let rig: ClockRig;
let station: StationProcess | null = null;
beforeEach(() => {
  ({ folder, remove } = temporaryFolder());
  rig = clockRig(folder);
});
afterEach(async () => {
  await station?.kill();
  station = null;
  remove();
});

async function started(): Promise<StationProcess> {
  station = await startStation(folder, QUIET_BENCH, { env: rig.env });
  return station;
}

const now = (of: StationProcess) => of.get<NowSnapshot>("/api/now");
const run = (of: StationProcess, id: string) => of.get<PlacedRun>(`/api/runs/${id}`);
const marks = (of: StationProcess) => of.get<Marks>(`/api/marks?from=0&to=${Date.now() + 30 * 24 * HOUR}`);

/** The run is closed once its window has readings of the coolant. */
async function cut(of: StationProcess): Promise<string> {
  const { id } = (await of.send("POST", "/api/runs", { settings: { material: "birch" } })).body as Run;
  await eventually(async () => {
    const { channel } = (await now(of)).coolant;
    const { buckets } = await of.get<Series>(`/api/runs/${id}/series?channel=${channel}`);
    return buckets.some(({ mean }) => mean !== null);
  }, "readings inside the run");
  await of.send("POST", `/api/runs/${id}/end`, {});
  return id;
}

function near(wall: number | null | undefined): boolean {
  return Math.abs((wall ?? 0) - Date.now()) < 60_000 + SLACK_MS;
}

async function measured(of: StationProcess, from: number, to: number): Promise<boolean> {
  const { channel } = (await now(of)).coolant;
  const { buckets } = await of.get<Series>(`/api/series?channel=${channel}&from=${from}&to=${to}&buckets=50`);
  return buckets.some(({ mean }) => mean !== null);
}

/** By a clock that was off by so much, in the last minutes. */
function measuredAt(of: StationProcess, off: number): Promise<boolean> {
  const at = Date.now() + off;
  return measured(of, at - 120_000, at + 60_000);
}

describe("a station whose clock is set minutes after its start", () => {
  it("places what it kept before, though it is killed and started again, and every stamp still agrees", async () => {
    rig.set(wrongBy(), "no");
    let here = await started();
    expect(await now(here)).toMatchObject({ clock: "not synchronised" });
    const id = await cut(here);
    await here.send("POST", "/api/optics/cleaned", {});
    expect(await run(here, id)).toMatchObject({ placed: null, clockAtStart: "not synchronised" });
    await here.kill();
    here = await started();

    const before = await cut(here);
    rig.set(0, "yes");
    await eventually(async () => (await now(here)).clock === "synchronised", "the state of the clock");
    await eventually(async () => (await run(here, before)).placed, "the true times of the run");
    await here.kill();
    here = await started();

    for (const each of [id, before]) {
      const { placed, stamp, startWall } = await run(here, each);
      expect(near(placed?.startWall) && near(placed?.endWall)).toBe(true);
      // What was known at cut time stays in the stamp.
      expect(stamp).toMatchObject({ startWall, clockAtStart: "not synchronised" });
      expect(new Date(startWall).getUTCFullYear()).toBe(1970);
    }
    const { runs } = await here.get<{ runs: RunRow[] }>("/api/runs");
    expect(runs.map(({ placed }) => placed !== null)).toEqual([true, true]);
    const { optics } = await now(here);
    expect(near(optics.cleanedWall)).toBe(true);
    expect(optics.agoMs).toBeLessThan(60_000 + SLACK_MS);
    expect((await marks(here)).clock).toMatchObject([{ placed: true }]);
    await eventually(async () => !(await measured(here, 0, Date.UTC(1980, 0, 1))), "1970 to be empty");
    expect(await measured(here, Date.now() - 5 * 60_000, Date.now())).toBe(true);

    expect(await here.stop()).toBe(0);
    station = null;
    const { status, stdout } = command(folder, "verify", "--journal", join(folder, "journal"));
    expect(stdout).toMatch(/2 of 2 stamps agree/);
    expect(status).toBe(0);
  }, 120_000);
});

describe("a clock that somebody sets by hand", () => {
  it("loses and reorders nothing, leaves lengths of time as they were, and is marked", async () => {
    rig.set(0, "yes");
    const here = await started();
    const first = await cut(here);
    await here.send("POST", "/api/runs", {});
    rig.set(2 * HOUR, "yes");
    await eventually(async () => (await marks(here)).clock.length === 1, "the mark of the first step");
    await eventually(() => measuredAt(here, 2 * HOUR), "a reading by the clock that is two hours ahead");
    const open = (await now(here)).runOpenMs as number;
    expect(open).toBeLessThan(60_000);
    rig.set(-3 * HOUR, "yes");
    const { clock: steps } = await eventually(async () => {
      const found = await marks(here);
      return found.clock.length === 2 ? found : null;
    }, "the mark of the second step");
    const shifts = steps.map(({ shiftMs, placed }) => [Math.round(shiftMs / HOUR), placed]);
    expect(shifts.sort()).toEqual([
      [-5, false],
      [2, false],
    ]);
    await here.send("POST", `/api/runs/${(await now(here)).run?.id}/end`, {});
    const second = await cut(here);
    for (const id of [first, second]) expect(await run(here, id)).toMatchObject({ placed: null });
    for (const off of [0, 2 * HOUR, -3 * HOUR]) expect(await measuredAt(here, off)).toBe(true);
    expect(await here.stop()).toBe(0);
    station = null;
    const { status, stdout } = command(folder, "verify", "--journal", join(folder, "journal"));
    expect(stdout).toMatch(/3 of 3 stamps agree/);
    expect(status).toBe(0);
  }, 120_000);
});
