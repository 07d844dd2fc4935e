/**
 * A station without its sensors: readings made up by seed argv[3] go the real way (judged, kept, derived from, stamped) into
 * the journal in argv[2], under the start id argv[4] of the boot argv[5], from argv[6] monotonic milliseconds on, as fast as
 * they are taken. Each line on stdout is what the journal has answered for, as JSON. Whoever started it kills it, or says in argv[7]
 * after how many runs it is to end by itself.
 */
import { writeSync } from "node:fs";
import { createChannelBoard } from "../../.build/station/channels/board.js";
import { createDeriver } from "../../.build/station/conditions/deriver.js";
import { readConfig } from "../../.build/station/config.js";
import { openJournal } from "../../.build/station/journal/journal.js";
import { openReader } from "../../.build/station/journal/reader.js";
import { recall, takeUpAgain } from "../../.build/station/recall.js";
import { createRunDesk } from "../../.build/station/trials/run-desk.js";

const [, , folder, seed, start, bootId, from, runs = Number.POSITIVE_INFINITY] = process.argv;
const CONFIG = `
coolant_range: { low: 17, high: 21 }
sources: [{ id: s, driver: serial, path: /dev/serial/by-id/none }]
channels:
  - { id: water, name: Coolant in, kind: coolant-inlet, source: s, point: water, resolution: 0.0625 }
  - { id: room-t, kind: room-temperature, source: s, point: t, resolution: 0.1 }
  - { id: room-rh, kind: room-humidity, source: s, point: rh, resolution: 0.1 }
  - { id: fan, kind: extraction-running, source: s, point: fan }
  - { id: count, kind: coolant-flow, source: s, point: count, valid: [0, 10000000], resolution: 1 }
`;

// Mulberry32, by Tommy Ettinger (public domain; from memory).
let state = Number(seed) >>> 0;
function random() {
  state = (state + 0x6d2b79f5) >>> 0;
  let t = Math.imul(state ^ (state >>> 15), state | 1);
  t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
  return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
}
const below = (n) => Math.floor(random() * n);

let mono = Number(from);
const now = () => ({ wall: 1_790_000_000_000 + mono, mono });
const clock = { now, bootId, state: () => "synchronised" };
const say = (told) => writeSync(1, `${JSON.stringify(told)}\n`);
const fail = (error) => {
  process.stderr.write(`${error?.stack ?? error}\n`);
  process.exit(1);
};
process.on("unhandledRejection", fail);

const config = readConfig(CONFIG, "station.yaml");
const { channels, coolant_range: coolantRange } = config;
const rules = { definitions: channels, coolantRange, minGoodShare: config.runs.min_good_share };
const startedAt = now();
const session = {
  start,
  bootId,
  at: startedAt,
  clock: "synchronised",
  version: "0",
  simulated: false,
  configHash: "",
};
const journal = await openJournal({ folder, session, tuning: { sealEveryMs: 1, commitEveryMs: 20 } });
await journal.ready;
const reader = await openReader({ folder });
const missing = (_, error) => fail(error);
const recalled = await recall({ journal, reader, bootId, mono, definitions: channels, missing });

const board = createChannelBoard(channels);
const deriver = createDeriver({ definitions: channels, coolantRange });
for (const reading of recalled.readings) deriver.take(reading);
const desk = createRunDesk({
  clock,
  rules,
  joinGapMs: 2000,
  store: journal,
  opticsHours: () => 3,
  delivered: async () => undefined,
  simulated: false,
  lastNumber: recalled.lastNumber,
  jobSheet: null,
  failed: fail,
});
await journal.channelsDefined(channels);
// Runs that were broken off by the kill before are closed beside the live line, as in the station.
const takenUp = takeUpAgain({
  ...{ journal, reader, config, rules, clock, startedAt },
  hasBegun: desk.hasBegun,
  lastCleaning: () => recalled.cleaning,
  log: (level, text, more) => level === "error" && fail(new Error(`${text} ${JSON.stringify(more)}`)),
});
takenUp.then(() => say({ takenUp: true }));

function pass(readings) {
  for (const reading of readings) {
    journal.readings([reading]);
    desk.take(reading, deriver.take(reading), deriver.extraction().state);
  }
}
pass(board.begin(now()));

let count = 0;
function read() {
  mono += 200 + below(random() < 0.03 ? 400_000 : 1800);
  pass(board.tick(now()));
  desk.tick(now());
  const [point, value, unit] = [
    ["water", (280 + below(70)) / 16, "Cel"],
    ["t", (180 + below(60)) / 10, "Cel"],
    ["rh", (350 + below(200)) / 10, "%RH"],
    ["fan", below(4) === 0 ? 0 : 1, "state"],
    ["count", count, "l/min"],
  ][below(5)];
  if (point === "count") count++;
  const torn = point !== "count" && below(30) === 0;
  pass(board.take({ source: "s", point, at: now(), ...(torn ? { fault: "crc-failed" } : { value, unit }) }));
}

const PRIORITIES = ["low", "medium", "high", "urgent"];
for (let i = 0; i < Number(runs); i++) {
  const id = `${start}-${i}`;
  const waited = [];
  const keep = (name, promise, what) => {
    const kept = promise.then((answer) => say({ [name]: what === undefined ? answer : what }));
    if (below(3) === 0) waited.push(kept);
  };
  for (let n = below(40); n > 0; n--) read();
  desk.setJobSheet({ material: "birch plywood 3 mm", specimen: id, speed_mm_s: 5 + below(30) }, now());
  const { run, kept } = desk.begin();
  keep("begun", kept);
  for (let n = below(60); n > 0; n--) read();
  const alarm = {
    ...{ id, alarm: "coolant-high", kind: "coolant-high", title: "Coolant is too warm", detail: `${i}` },
    ...{ priority: PRIORITIES[i % 4], transition: "raised", from: "normal", to: "unacknowledged" },
    ...{ wall: now().wall, mono, run: run.id, by: null },
  };
  keep("alarm", journal.alarmTransition(alarm), alarm);
  const change = { subject: "job-sheet", path: "settings", old: i - 1, new: i, at: now(), by: id };
  keep("setting", journal.settingChanged(change), change);
  for (let n = below(20); n > 0; n--) read();
  keep("ended", desk.end(run.id).kept);
  const done = { kind: "optics-cleaned", at: now(), note: id };
  keep("maintenance", journal.maintenance(done), done);
  const looked = {
    who: id,
    role: null,
    address: null,
    what: "fire-watch-look",
    subject: id,
    outcome: "done",
    at: now(),
  };
  keep("deed", journal.deed(looked), looked);
  const told = { key: `mail:${id}`, way: "mail", payload: alarm, at: now() };
  keep("notice", journal.notices("noticesKept", [told]), told);
  const counted = count;
  keep("counted", journal.flush(), counted);
  await Promise.all(waited);
}
await takenUp;
await desk.shutDown();
await reader.close();
await journal.close();
