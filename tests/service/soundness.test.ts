import { join } from "node:path";
import { afterAll, describe, expect, it } from "vitest";
import { JOURNAL_FILE, openForReading, openForWriting } from "../../station/journal/database.js";
import { lookThrough } from "../../station/journal/soundness/look.js";
import type { JournalView } from "../../station/model/journal.js";
import type { NowSnapshot } from "../../station/model/now.js";
import { loseEntries } from "../unit/journal/lost-index.js";
import { channel, reading, seal, WALL, writerBench } from "../unit/journal/samples.js";
import { station } from "./station-command.js";
import { eventually, type StationProcess, startStation, temporaryFolder } from "./station-process.js";

const HOUR = 3_600_000;

/** The folder of a journal with some sealed hours. */
function filled(): { folder: string; journal: string; file: string; remove: () => void } {
  const { folder, remove } = temporaryFolder();
  const journal = join(folder, "journal");
  const bench = writerBench(undefined, undefined, journal);
  bench.put([], { name: "channelsDefined", params: [channel("room")] });
  for (let i = 0; i < 6; i++) {
    bench.put(Array.from({ length: 240 }, (_, j) => reading("room", i * HOUR + j * 14_000, (j % 50) / 16)));
  }
  seal(bench.db);
  bench.db.close();
  return { folder, journal, file: join(journal, JOURNAL_FILE), remove };
}

async function lookedThrough(running: StationProcess): Promise<JournalView> {
  let view: JournalView | null = null;
  await eventually(async () => {
    view = await running.get<JournalView>("/api/journal");
    return view.soundness.state !== "looking";
  }, "the look through the journal");
  return view as unknown as JournalView;
}

describe("a station whose journal is not sound", () => {
  const made: (() => void)[] = [];
  afterAll(() => {
    for (const remove of made) remove();
  });

  it("makes an index anew that has lost entries, says so, and draws what was hidden", async () => {
    const { folder, journal, file, remove } = filled();
    made.push(remove);
    loseEntries(file, "block_by_wall", "id > 2");
    const told = station(folder, "verify", "--journal", journal);
    expect(told.stdout).toMatch(/indexes of the file have lost entries.*\n[\s\S]*verify --repair/);
    const running = await startStation(folder, null);
    const { soundness } = await lookedThrough(running);
    expect(soundness).toMatchObject({ state: "sound", doubt: null });
    expect(soundness.text).toMatch(/was made anew from the records \(block_by_wall\)\. Nothing was lost\./);
    const asked = `/api/series?channel=room&from=${WALL}&to=${WALL + HOUR}&buckets=400`;
    const response = await fetch(`${running.url}${asked}`);
    expect(response.headers.get("journal-soundness")).toBeNull();
    const { buckets } = (await response.json()) as { buckets: { count?: number }[] };
    expect(buckets.reduce((sum, { count = 0 }) => sum + count, 0)).toBe(240);
    expect(await running.stop()).toBe(0);
    expect(running.output()).toContain("block_by_wall");
    const db = openForReading(journal);
    expect(lookThrough(db)).toEqual({ indexes: [], damage: [], rollups: [] });
    db.close();
  });

  it("is mended by a repair as well", () => {
    const { folder, journal, file, remove } = filled();
    made.push(remove);
    loseEntries(file, "sealed_by_session", "first_block > 1");
    const { status, stdout } = station(folder, "verify", "--repair", "--journal", journal);
    expect(stdout).toMatch(
      /ok {2}the file is sound\n.*indexes were made anew from the records: sealed_by_session/,
    );
    expect(status).toBe(0);
  });

  it("raises an alarm over lost readings, and says so beside all that it answers", async () => {
    const { folder, journal, remove } = filled();
    made.push(remove);
    const db = openForWriting(journal, { busyTimeoutMs: 1000 });
    db.exec("UPDATE block SET data = zeroblob(90) WHERE id = 1");
    db.close();
    const running = await startStation(folder, null);
    const { soundness } = await lookedThrough(running);
    expect(soundness.state).toBe("damaged");
    await eventually(async () => {
      const { alarms } = await running.get<NowSnapshot>("/api/now");
      return alarms.some(({ kind, priority }) => kind === "journal-damaged" && priority === "medium");
    }, "the alarm");
    const { journal: said } = await running.get<NowSnapshot>("/api/now");
    expect(said.doubt).toMatch(/^The journal is damaged: The readings of room from 20.*restore FILE/);
    const table = await fetch(`${running.url}/api/exports/readings.csv?to=1`);
    expect(table.headers.get("content-disposition")).toMatch(/-damaged\.csv"$/);
    expect(table.headers.get("journal-soundness")).toBe("damaged");
    await table.text();
    await running.stop();
  });
});
