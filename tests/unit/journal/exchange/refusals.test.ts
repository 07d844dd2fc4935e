import { existsSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { exportReadings } from "../../../../station/journal/exchange/export-readings.js";
import { importFile } from "../../../../station/journal/exchange/import.js";
import { READING_COLUMNS } from "../../../../station/journal/exchange/reading-csv.js";
import { recordLine, recordsHead } from "../../../../station/journal/exchange/record-lines.js";
import { lockFolder } from "../../../../station/journal/lock.js";
import { resolvePack } from "../../../../station/sources/serial/senml.js";
import { channel, emptyFolder, ended, openRun, reading, sessionStart, transition } from "../samples.js";
import { contentsOf, readerOf, writeJournal } from "./journals.js";

let folder = "";
let remove = () => {};
beforeEach(() => {
  ({ folder, remove } = emptyFolder());
});
afterEach(() => remove());

const HEAD = `${READING_COLUMNS.join(",")}\r\n`;
const GOOD =
  "2026-05-04T09:00:00.000Z,1000,boot-1,start-1,coolant,Coolant in,coolant-inlet,Cel,18.5,good,,false\r\n";
const bad = (from: string, to: string) => `${HEAD}${GOOD}${GOOD.replace(from, to)}`;
const session = recordLine({ type: "session", session: sessionStart() });
const run = { type: "run", session: "start-1", run: ended({ ...openRun("r"), number: 1 }), channels: null };
const pack = (record: object) => {
  const first = {
    bn: "start-1/",
    n: "coolant",
    t: 1_790_000_000,
    mono: 5,
    boot: "b",
    simulated: false,
    v: 1,
  };
  return `${JSON.stringify([first])}\n${JSON.stringify([{ ...first, ...record }])}\n`;
};

async function refused(text: string | Buffer, into = join(folder, "to")): Promise<string> {
  const file = join(folder, "file");
  writeFileSync(file, text);
  return importFile(file, into).then(
    () => "it was imported",
    (error: Error) => error.message,
  );
}

describe("an import is refused, with the line, what was found and what was expected:", () => {
  it.each([
    ["an empty file", "", /line 1: found nothing; expected time,monotonic_ms/],
    ["other columns", "a,b\r\n1,2\r\n", /line 1: found "a,b"; expected time,/],
    ["the table of runs", "run,start", /line 1: found "run,start"/],
    [
      "a local time",
      bad("09:00:00.000Z", "09:00"),
      /line 3: found "2026-05-04T09:00"; expected a time in UTC/,
    ],
    ["a day that is none", bad("2026-05-04", "2026-13-04"), /line 3: .*expected a time in UTC/],
    [
      "a decimal comma",
      bad("18.5", '"18,5"'),
      /line 3: found "18,5"; expected a number with a decimal point/,
    ],
    ["more than a double holds", bad("18.5", "1e999"), /line 3: found "1e999"/],
    ["hexadecimal", bad("18.5", "0x12"), /line 3: found "0x12"/],
    [
      "a broken millisecond",
      bad(",1000,", ",1000.5,"),
      /line 3: found "1000.5"; expected whole milliseconds/,
    ],
    ["no value with good quality", bad("18.5", ""), /line 3: found no value, quality good/],
    ["a value with bad quality", bad("good,", "bad,empty"), /line 3: found a value, quality bad/],
    ["good quality with a reason", bad("good,", "good,stale"), /line 3: found quality good, reason "stale"/],
    ["uncertain for a bad reason", bad("good,", "uncertain,stale"), /line 3: found quality uncertain/],
    ["a reason of nobody's", bad("good,", "uncertain,moody"), /line 3: found "moody"; expected a reason/],
    ["a kind of nobody's", bad("coolant-inlet", "coolant"), /line 3: found "coolant"; expected the kind/],
    [
      "an id that is none",
      bad("coolant,", "../x,"),
      /line 3: found the channel "..\/x"; expected lower-case/,
    ],
    ["no session", bad("start-1", ""), /line 3: found nothing; expected the session/],
    ["another boot", bad("boot-1", "boot-2"), /line 3: found the boot "boot-2"; expected "boot-1"/],
    ["another unit", bad("Cel", "Pa"), /line 3: found the unit Pa; expected Cel/],
    ["too few cells", `${HEAD}${GOOD}a,b\r\n`, /line 3: found 2 cells; expected 12/],
    ["yes for true", bad("false", "no"), /line 3: found "no"; expected true or false/],
    [
      "bytes that are no text",
      Buffer.from([...Buffer.from(HEAD + GOOD), 0xff, 0xfe]),
      /expected text in UTF-8/,
    ],
    ["another format of lines", '{"format":"x"}\n', /line 1: found .*expected \{"format":"workshop-station/],
    ["half a line", `${recordsHead()}${session}{"type":"ru`, /line 3: found .*expected a JSON object/],
    ["a session not told of", recordsHead() + JSON.stringify(run), /line 2: found the session "start-1"/],
    [
      "a run without its stamp",
      `${recordsHead()}${session}${JSON.stringify({ ...run, run: { ...run.run, stamp: null } })}`,
      /line 3: .*expected end, cause of the end and stamp together/,
    ],
    [
      "a setting that cannot be",
      `${recordsHead()}${session}${JSON.stringify({ ...run, run: { ...run.run, settings: { passes: 0 } } })}`,
      /line 3: .*not right at "run.settings.passes"; expected at least 1/,
    ],
    ["no Pack", "[1]\n", /line 1: found a record is an object; expected a SenML Pack/],
    ["a Pack with two values", pack({ vs: "x" }), /line 2: found a record has exactly one value/],
    ["a Pack without our labels", pack({ mono: "x" }), /line 2: found record 1 with no fitting "mono"/],
    ["a Pack that says true", pack({ v: undefined, vb: true }), /line 2: found record 1 with another value/],
    ["a whole journal", "SQLite format 3\0", /line 1: found a whole journal; .*restore FILE/],
  ])("%s", async (_what, text, words) => {
    const message = await refused(text);
    expect(message).toMatch(words);
    expect(message).toContain("Nothing was imported.");
    expect(existsSync(join(folder, "to", "journal.sqlite"))).toBe(false);
  });

  it("and of what was there before, nothing has changed", async () => {
    const into = join(folder, "to");
    const readings = Array.from({ length: 30 }, (_, i) => reading("coolant", i));
    writeJournal(into, [{ session: sessionStart({ start: "own" }), readings }]);
    const before = await contentsOf(into);
    const many = Array.from({ length: 5000 }, (_, i) => GOOD.replace("1000", String(1000 + i))).join("");
    expect(await refused(`${HEAD}${many}x\r\n`, into)).toContain("line 5002: found 1 cells");
    expect(await contentsOf(into)).toEqual(before);
    const reader = readerOf(into);
    expect((await reader.sessions()).map(({ start }) => start)).toEqual(["own"]);
    expect(await reader.definitions()).toEqual([]);
    reader.close();
  });

  it("a file that is not there, and a journal that a station writes", async () => {
    await expect(importFile(join(folder, "none"), folder)).rejects.toMatchObject({ code: "import-refused" });
    const lock = lockFolder(join(folder, "to"), 0);
    expect(await refused(HEAD + GOOD)).toMatch(/Something else is writing the journal/);
    lock.release();
    expect(await refused(HEAD + GOOD)).toBe("it was imported");
  });

  it("alarms, where the journal has some of its own that the station goes by", async () => {
    const into = join(folder, "to");
    const params = transition("own-1");
    const actions = [{ name: "alarmTransition" as const, params }];
    writeJournal(into, [{ session: sessionStart({ start: "own" }), readings: [], actions }]);
    const line = recordLine({ type: "alarm", session: "start-1", transition: transition("other-1") });
    expect(await refused(recordsHead() + session + line, into)).toMatch(/line 3: .*no alarms of its own/);
    expect((await contentsOf(into)).alarms).toEqual([params]);
  });
});

describe("SenML as it is written", () => {
  it("is a Pack to a line by RFC 8428, which carries the measurements to any receiver", async () => {
    const into = join(folder, "from");
    const definitions = [
      channel("coolant"),
      channel("lid", { name: "Lid", kind: "lid-open", unit: "state" }),
    ];
    writeJournal(into, [
      {
        session: sessionStart(),
        readings: [],
        actions: [{ name: "channelsDefined", params: definitions }],
      },
      {
        session: sessionStart({ start: "start-2" }),
        readings: [reading("coolant", 0, 18.5), reading("coolant", 1, null), reading("lid", 1250, 1)],
      },
    ]);
    const reader = readerOf(into);
    let text = "";
    const query = { from: null, to: null, channels: null };
    for await (const piece of exportReadings(reader, query, "senml", { rows: 0 })) text += piece;
    reader.close();
    const lines = text.trimEnd().split("\n");
    expect(lines).toHaveLength(1);
    expect(resolvePack(JSON.parse(lines[0] ?? ""))).toMatchObject({
      ok: true,
      records: [
        { name: "start-2/coolant", unit: "Cel", value: { kind: "number", value: 18.5 }, time: 1777885200 },
        // No value: a string, which nobody takes for a temperature.
        { name: "start-2/coolant", unit: "Cel", value: { kind: "string", value: "crc-failed" } },
        { name: "start-2/lid", unit: "/", value: { kind: "number", value: 1 }, time: 1777885201.25 },
      ],
    });
  });
});
