/**
 * Writes into the journal in argv[2] without end, under the start id argv[3], readings argv[4] milliseconds apart, and says on stdout what has been answered:
 * "run ID", "alarm ID", "readings N" (the first N are flushed). Whoever started it kills it.
 */
import { writeSync } from "node:fs";
import { openJournal } from "../../../.build/station/journal/journal.js";

const [, , folder, start, apart] = process.argv;
const at = { wall: 1_777_885_200_000, mono: 1000 };
const session = { start, bootId: start, at, clock: "unknown", version: "0", simulated: true, configHash: "" };
const journal = openJournal({ folder, session, tuning: { sealEveryMs: 1 } });
await journal.ready;

let given = 0;
function giveReadings(count) {
  const batch = [];
  for (let i = 0; i < count; i++) {
    const ms = given * Number(apart);
    const moment = { wall: at.wall + ms, mono: at.mono + ms };
    batch.push({ channel: `c${given % 5}`, at: moment, value: given, quality: "good", reason: null });
    given++;
  }
  journal.readings(batch);
}

function say(line) {
  writeSync(1, `${line}\n`);
}

for (let i = 0; ; i++) {
  const id = `${start}-${i}`;
  const run = { id, number: 0, cause: "screen", startWall: at.wall, startMono: at.mono, bootId: start };
  const open = {
    clockAtStart: "unknown",
    settings: {},
    simulated: true,
    endWall: null,
    endMono: null,
    endCause: null,
  };
  const alarm = {
    id,
    alarm: "coolant-high",
    kind: "coolant-high",
    title: "",
    priority: "high",
    transition: "raised",
  };
  const change = {
    from: "normal",
    to: "unacknowledged",
    wall: at.wall,
    mono: at.mono,
    detail: "",
    run: null,
    by: null,
  };
  giveReadings(37);
  const begun = journal.runBegun({ ...run, ...open, stamp: null }).then(() => say(`run ${id}`));
  giveReadings(11);
  const raised = journal.alarmTransition({ ...alarm, ...change }).then(() => say(`alarm ${id}`));
  giveReadings(5);
  const before = given;
  const flushed = journal.flush().then(() => say(`readings ${before}`));
  giveReadings(23);
  if (i % 3 === 0) await Promise.all([begun, raised, flushed]);
}
