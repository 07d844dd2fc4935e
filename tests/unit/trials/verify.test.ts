import { describe, expect, it } from "vitest";
import { AppError } from "../../../station/errors.js";
import type { KeptRun, LoggedSettingChange } from "../../../station/journal/reader-calls.js";
import type { ReadingsReport } from "../../../station/journal/soundness/readings-report.js";
import type { ChannelDefinition } from "../../../station/model/channel.js";
import type { Reading } from "../../../station/model/reading.js";
import type { Run, Stamp } from "../../../station/model/run.js";
import { SETTINGS_SUBJECT } from "../../../station/setting-changes.js";
import { differences } from "../../../station/trials/differences.js";
import { rulesOf } from "../../../station/trials/past-rules.js";
import { type Verification, type VerifyReader, verifyJournal } from "../../../station/verify.js";
import { wordsOfVerification } from "../../../station/verify-words.js";
import { ended, openRun } from "../journal/samples.js";
import { bench, readerOf, rules } from "./desk-bench.js";

const [water] = rules.definitions as [ChannelDefinition];

function channelsChanged(session: number, definitions: readonly ChannelDefinition[]): LoggedSettingChange {
  const at = { wall: 0, mono: 0 };
  const change = { subject: SETTINGS_SUBJECT, path: "channels", old: undefined, new: definitions };
  return { ...change, at, by: null, id: session, session };
}

/** A journal with one run, begun at the first start of the station. */
async function cut(): Promise<{ run: Run; readings: Reading[] }> {
  const { desk, at, send, ended, readings } = bench();
  send("water", 20);
  desk.setJobSheet({ material: "MDF" }, { wall: 0, mono: 0 });
  const { id } = desk.begin().run;
  at(3_000);
  send("water", 23);
  at(6_000);
  send("water", 20.5);
  at(8_000);
  await desk.end(id).kept;
  return { run: { ...(ended[0] as Run), number: 41 }, readings };
}

function journalOf(
  runs: readonly Pick<KeptRun, "session" | "run">[],
  readings: readonly Reading[],
  changes: readonly LoggedSettingChange[],
  damage: string[] = [],
): VerifyReader {
  return {
    ...readerOf(readings),
    lastReadingsBefore: async () => [],
    integrity: async () => damage,
    definitions: async () => [],
    changesAfter: async ({ after }) => changes.filter(({ id }) => id > after),
    runsAfter: async ({ after }) => runs.filter(({ run }) => run.number > after),
  };
}

const NONE = { count: 0, named: [] };
const SOUND = { blocks: 3, damaged: NONE, wrong: NONE, mended: NONE };
const photos = async () => ({ missing: [] as string[], damaged: [] as string[], strays: [] as string[] });
const HERE: Verification = { journal: "here", repair: false, readings: async () => SOUND, photos };

describe("verifying a journal", () => {
  const before = channelsChanged(1, rules.definitions);

  it("finds that a stamp agrees with its readings, by the channels of its time and not of today", async () => {
    const { run, readings } = await cut();
    const since = channelsChanged(2, [{ ...water, name: "Renamed", staleAfterS: 1 }]);
    const reader = journalOf([{ session: 1, run }], readings, [before, since]);
    const report = await verifyJournal(reader, HERE);
    expect(report).toMatchObject({ ok: true, runs: 1, agree: 1, open: 0, doubtful: [] });

    // The same run by today's channels: that is what the rules of its time are for.
    const later = journalOf([{ session: 2, run }], readings, [before, since]);
    expect((await verifyJournal(later, HERE)).agree).toBe(0);
  });

  it("names what differs where a reading was changed, or is gone", async () => {
    const { run, readings } = await cut();
    const changed = readings.map((each) => (each.value === 23 ? { ...each, value: 22.5 } : each));
    const report = await verifyJournal(journalOf([{ session: 1, run }], changed, [before]), HERE);
    expect(report.ok).toBe(false);
    const { differences: found } = report.doubtful[0] ?? { differences: [] };
    expect(found).toContainEqual({ path: "channels.water.max", kept: "23", again: "22.5" });
    expect(wordsOfVerification(report)).toContain(
      "channels.water.max: the stamp says 23, the readings give 22.5",
    );

    const gone = readings.filter(({ value }) => value !== 23);
    expect((await verifyJournal(journalOf([{ session: 1, run }], gone, [before]), HERE)).ok).toBe(false);
  });

  it("does not call a stamp wrong whose readings were held and never kept; where they were kept after all it is as any other", async () => {
    const { run, readings } = await cut();
    const held: Run = { ...run, stamp: { ...(run.stamp as Stamp), readingsHeld: true } };
    const of = (kept: readonly Reading[]) =>
      verifyJournal(journalOf([{ session: 1, run: held }], kept, [before]), HERE);
    expect(await of(readings)).toMatchObject({ ok: true, agree: 1, unkept: [] });

    const gone = await of(readings.filter(({ value }) => value !== 23));
    expect(gone).toMatchObject({ ok: true, agree: 0, doubtful: [], unkept: [{ number: 41, id: run.id }] });
    expect(wordsOfVerification(gone)).toContain(
      "ok  0 of 1 stamps agree with the readings\n      run 41: its stamp cannot be recomputed. The disk was full, and its readings were never kept",
    );
  });

  it("does not call a stamp good that it could not work out, nor a file that is damaged", async () => {
    const { run, readings } = await cut();
    const unknown = await verifyJournal(journalOf([{ session: 1, run }], readings, []), HERE);
    expect(unknown).toMatchObject({ ok: false, agree: 0 });
    expect(wordsOfVerification(unknown)).toContain(
      "run 41: the journal does not hold what its channels were",
    );

    const journal = journalOf([{ session: 1, run }], readings, [before], ["row 7 missing from index x"]);
    const damaged = await verifyJournal(journal, HERE);
    expect(damaged).toMatchObject({ ok: false, agree: 1 });
    expect(wordsOfVerification(damaged)).toContain("row 7 missing from index x");
  });

  it("writes nothing into a damaged file, and says as much of it as can be read", async () => {
    const reader = journalOf([], [], [], ["page 7 is torn"]);
    const torn: VerifyReader = {
      ...reader,
      runsAfter: () => Promise.reject(new Error("disk image is malformed")),
    };
    let mended = false;
    const readings = async () => {
      mended = true;
      return SOUND;
    };
    const report = await verifyJournal(torn, { ...HERE, repair: true, readings });
    expect(report).toMatchObject({ ok: false, readings: null, damage: ["page 7 is torn"] });
    expect(mended).toBe(false);
    const words = wordsOfVerification(report);
    expect(words).toContain("Nothing was mended");
    expect(words).toMatch(/Next: put back a backup .*restore FILE/);
    expect(words).toContain("could not be looked at: the runs (disk image is malformed)");
  });

  it("names blocks that cannot be read, the stamps that rest on them, and what to do next", async () => {
    const { run, readings } = await cut();
    const reader: VerifyReader = {
      ...journalOf([{ session: 1, run }], readings, [before]),
      lastReadingsBefore: () =>
        Promise.reject(new AppError("readings-damaged", "The readings of water are damaged.")),
    };
    const damaged = { count: 21, named: ["The readings of water from then to then"] };
    const report = await verifyJournal(reader, { ...HERE, readings: async () => ({ ...SOUND, damaged }) });
    expect(report).toMatchObject({ ok: false, agree: 0 });
    const words = wordsOfVerification(report);
    expect(words).toMatch(
      /21 of 3 sealed blocks of readings cannot be read:\n +The readings of water from then/,
    );
    expect(words).toContain("and 20 more");
    expect(words).toMatch(/Next: put back a backup/);
    expect(words).toMatch(/run 41: its stamp cannot be worked out again. The readings of water are damaged/);
  });

  it("is not well while a photo that is spoken of is not there, and is where one is there that nobody speaks of", async () => {
    const found = async (lost: object) => {
      const photos = async () => ({ missing: [], damaged: [], strays: [], ...lost });
      const report = await verifyJournal(journalOf([], [], []), { ...HERE, photos });
      return [report.ok, wordsOfVerification(report)];
    };
    expect(await found({ strays: ["ab"] })).toEqual([
      true,
      expect.stringContaining("all photos that are spoken of"),
    ]);
    expect(await found({ missing: ["ab"] })).toEqual([
      false,
      expect.stringMatching(/1 photo is missing:\n +ab\.jpg/),
    ]);
    expect(await found({ damaged: ["cd"] })).toEqual([
      false,
      expect.stringMatching(/1 photo is damaged:\n +cd\.jpg/),
    ]);
  });

  it("is not well while rollups are wrong, and is once they have been made anew", async () => {
    const some = { count: 2, named: ["a", "b"] };
    const at = async (readings: ReadingsReport, repair: boolean) =>
      verifyJournal(journalOf([], [], []), { ...HERE, repair, readings: async () => readings });
    const wrong = await at({ ...SOUND, wrong: some }, false);
    expect(wrong.ok).toBe(false);
    expect(wordsOfVerification(wrong)).toMatch(
      /!! {2}2 rollups .* not what the readings say[\s\S]*verify --repair/,
    );
    const mended = await at({ ...SOUND, mended: some }, true);
    expect(mended.ok).toBe(true);
    expect(wordsOfVerification(mended)).toMatch(/ok {2}2 rollups were repaired[\s\S]*ok {2}the rollups/);
  });

  it("passes over a run that has not ended", async () => {
    const { run, readings } = await cut();
    const open: Run = { ...run, endWall: null, endMono: null, endCause: null, stamp: null };
    const report = await verifyJournal(journalOf([{ session: 1, run: open }], readings, [before]), HERE);
    expect(report).toMatchObject({ ok: true, runs: 0, open: 1 });
  });
});

describe("the rules of a run's time", () => {
  const first = { ...water, name: "First" };
  const second = { ...water, name: "Second" };
  const run = ended(openRun("r"));

  it("are the newest list of channels that is not newer than its start of the station", () => {
    const lists = [
      { session: 2, definitions: [first] },
      { session: 5, definitions: [second] },
    ];
    const name = (session: number) => {
      const single = [{ session: 1, definition: { ...water, id: "coolant" } }];
      return rulesOf(run, session, { brought: new Map(), lists, single })?.definitions[0]?.name;
    };
    expect([1, 2, 4, 5, 9].map(name)).toEqual([water.name, "First", "First", "Second", "Second"]);
  });

  it("are those that a run brought with it from another journal", () => {
    const kept = {
      brought: new Map([["r", [second]]]),
      lists: [{ session: 1, definitions: [first] }],
      single: [],
    };
    expect(rulesOf(run, 1, kept)?.definitions).toEqual([second]);
    expect(rulesOf({ ...run, id: "other" }, 1, kept)?.definitions).toEqual([first]);
  });

  it("take the range and the share from the stamp itself", () => {
    const range = { low: 17, high: 20 };
    const kept = { brought: new Map(), lists: [{ session: 1, definitions: [first] }], single: [] };
    expect(rulesOf(ended(openRun("r"), { coolantRange: range, minGoodShare: 0.3 }), 1, kept)).toEqual({
      definitions: [first],
      coolantRange: range,
      minGoodShare: 0.3,
    });
  });
});

describe("the differences of two values", () => {
  it("are named leaf by leaf, with what is on either side only", () => {
    const kept = { a: 1, b: { c: [1, 2], d: null }, gone: "x" };
    const again = { a: 1, b: { c: [1, 3, 4], d: 0 }, here: undefined };
    expect(differences(kept, again)).toEqual([
      { path: "b.c.1", kept: "2", again: "3" },
      { path: "b.c.2", kept: "nothing", again: "4" },
      { path: "b.d", kept: "null", again: "0" },
      { path: "gone", kept: '"x"', again: "nothing" },
    ]);
  });

  it("are none where only the last bits are others, as those of two processors are", () => {
    // The dew point at 27.185242898995057 °C and 73.77367192180827 % on amd64 and on arm64, with node 20.
    const [amd64, arm64] = [22.094984380153452, 22.09498438015346];
    expect(amd64).not.toBe(arm64);
    expect(differences({ mean: amd64, text: "22.1" }, { mean: arm64, text: "22.1" })).toEqual([]);
    expect(differences([0.3, 1e-13], [0.1 + 0.2, 0])).toEqual([]);
    // One reading in ten thousand, by the least that a probe can tell.
    expect(differences([amd64], [amd64 + 0.0625 / 10_000])).toHaveLength(1);
    expect(differences([1_790_000_000_000], [1_790_000_000_001])).toHaveLength(1);
    expect(differences([0.5], ["0.5"])).toHaveLength(1);
  });

  it("tell a list from an object and a value from null", () => {
    expect(differences({}, [])).toHaveLength(1);
    expect(differences({ a: 1 }, null)).toEqual([{ path: "(all)", kept: '{"a":1}', again: "null" }]);
    expect(differences([1], [1])).toEqual([]);
  });
});
