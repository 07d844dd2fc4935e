/**
 * Writes into the journal in argv[2] without end, under the start id argv[3], and has it thinned before argv[4] meanwhile; kills
 * itself once argv[5] blocks of it have been thinned: whoever looks from outside may come too late.
 */
import { join } from "node:path";
import { setTimeout as delay } from "node:timers/promises";
import Database from "better-sqlite3";
import { openJournal } from "../../.build/station/journal/journal.js";

const [, , folder, start, beforeWall, blocks] = process.argv;
const at = { wall: Number(beforeWall) + 86_400_000, mono: 1000 };
const session = {
  start,
  bootId: start,
  at,
  clock: "synchronised",
  version: "0",
  simulated: true,
  configHash: "",
};
const journal = openJournal({ folder, session, tuning: { sealEveryMs: 1 } });
await journal.ready;
const looking = new Database(join(folder, "journal.sqlite"), { readonly: true });
const thinned = looking.prepare("SELECT count(*) FROM thinned").pluck();
const reach = { leadMs: 1_200_000, lookBackMs: 7_200_000, afterMs: 15_000 };
await journal.thin({ beforeWall: Number(beforeWall), reach });

for (let i = 0; ; i++) {
  const moment = { wall: at.wall + i, mono: at.mono + i };
  journal.readings([{ channel: "new", at: moment, value: i, quality: "good", reason: null }]);
  await journal.flush();
  if (thinned.get() >= Number(blocks)) process.kill(process.pid, "SIGKILL");
  // A station commits every two seconds: thinning has its turn between.
  await delay(10);
}
