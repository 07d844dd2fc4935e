import { afterEach, beforeEach, expect, it } from "vitest";
import type { NoticeActionMap } from "../../../station/journal/notices.js";
import type { Action } from "../../../station/journal/protocol.js";
import { createReads } from "../../../station/journal/reads.js";
import { createWriter } from "../../../station/journal/writer.js";
import type { Notice, NoticeStanding } from "../../../station/model/notice.js";
import { type Bench, sessionStart, WALL, writerBench } from "./samples.js";

let bench: Bench;
beforeEach(() => {
  bench = writerBench();
});
afterEach(() => bench.remove());

const WAITING: NoticeStanding = {
  ...{ state: "waiting", message: null, attempts: 0, nextWall: null, doneWall: null, error: null },
};

function notice(i: number, changes: Partial<Notice> = {}): Notice {
  const at = { wall: WALL + i, mono: 1000 + i };
  return { key: `mail:1-${i}`, way: "mail", payload: { title: "Kühlwasser", i }, at, ...changes };
}

function does(action: Action): unknown {
  const { result, refused } = bench.put([], action);
  expect(refused).toBeNull();
  return result;
}

function left(): NoticeActionMap["noticesLeft"]["result"] {
  return does({ name: "noticesLeft", params: null }) as NoticeActionMap["noticesLeft"]["result"];
}

function change(keys: string[], standing: Partial<NoticeStanding>): void {
  does({ name: "noticesChanged", params: { keys, standing: { ...WAITING, ...standing } } });
}

it("what waits is there as it was after a restart, each key once", () => {
  does({ name: "noticesKept", params: [notice(1), notice(2, { way: "webhook", key: "webhook:1-2" })] });
  does({ name: "noticesKept", params: [notice(1, { payload: "another" }), notice(3)] });
  const tried = { message: "mail:1-1", attempts: 2, nextWall: WALL + 60_000, error: "no answer" };
  change(["mail:1-1", "mail:1-3"], tried);
  const again = createWriter(bench.db, sessionStart({ start: "start-2", bootId: "boot-2" }), () => 0);
  const { result } = again.commit({
    number: 1,
    readings: null,
    action: { name: "noticesLeft", params: null },
  });
  expect(result).toEqual({
    waiting: [
      { ...notice(1), ...WAITING, ...tried, id: 1, bootId: "boot-1" },
      { ...notice(2, { way: "webhook", key: "webhook:1-2" }), ...WAITING, id: 2, bootId: "boot-1" },
      { ...notice(3), ...WAITING, ...tried, id: 3, bootId: "boot-1" },
    ],
    ways: [
      { way: "mail", lastSentWall: null, givenUp: 0, lastGivenUpWall: null },
      { way: "webhook", lastSentWall: null, givenUp: 0, lastGivenUpWall: null },
    ],
  });
});

it("what was sent or given up waits no more, is not waited for again, and goes after a while", () => {
  does({ name: "noticesKept", params: [notice(1), notice(2), notice(3)] });
  change(["mail:1-1"], { state: "sent", message: "mail:1-1", attempts: 1, doneWall: WALL + 100 });
  change(["mail:1-2"], { state: "given-up", attempts: 9, doneWall: WALL + 200, error: "550 no such box" });
  does({ name: "noticesKept", params: [notice(1), notice(2)] });
  expect(left().waiting.map(({ key }) => key)).toEqual(["mail:1-3"]);
  const sum = { way: "mail", lastSentWall: WALL + 100, givenUp: 1, lastGivenUpWall: WALL + 200 };
  expect(left().ways).toEqual([sum]);
  does({ name: "noticesPruned", params: WALL + 200 });
  expect(left().ways).toEqual([{ ...sum, lastSentWall: null }]);
  does({ name: "noticesPruned", params: WALL + 999 });
  expect(left()).toMatchObject({ waiting: [{ key: "mail:1-3" }], ways: [{ givenUp: 0 }] });
  expect(createReads(bench.db).integrity(null)).toEqual([]);
});

it("one that was sent before the clock was set is not taken for an old one, and not told again", () => {
  const started = { bootId: "boot-9", at: { wall: 0, mono: 0 }, clock: "not synchronised" } as const;
  const early = writerBench(sessionStart(started));
  const sent = notice(1, { at: { wall: 5000, mono: 5000 } });
  early.put([], { name: "noticesKept", params: [sent] });
  const standing = { ...WAITING, state: "sent", attempts: 1, doneWall: 5100 } as const;
  early.put([], { name: "noticesChanged", params: { keys: [sent.key], standing } });
  const at = { wall: WALL + 9000, mono: 9000 };
  const step = { at, shiftMs: WALL, before: "not synchronised", after: "synchronised" } as const;
  early.put([], { name: "clockStepped", params: step });
  early.put([], { name: "noticesPruned", params: WALL + 5000 });
  expect(early.put([], { name: "noticesKept", params: [sent] }).result).toEqual([]);
  early.put([], { name: "noticesPruned", params: WALL + 5001 });
  expect(early.put([], { name: "noticesKept", params: [sent] }).result).toEqual([sent.key]);
  early.remove();
});

it("one that a worn card changed is not sent", () => {
  does({ name: "noticesKept", params: [notice(1)] });
  bench.db.exec('DROP TRIGGER temp.notice_updated; UPDATE notice SET payload = \'{"title":"All is well"}\'');
  const { refused } = bench.put([], { name: "noticesLeft", params: null });
  expect(refused).toMatchObject({ code: "records-damaged" });
});
