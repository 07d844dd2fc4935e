/**
 * A journal in a process of its own, told line by line what to keep: {"readings": 500}, {"run": "r1"}, {"alarm": "1-1"},
 * {"close": true}. It says what has been kept, and its health now and then.
 */
import { createInterface } from "node:readline";
import { openJournal } from "../../.build/station/journal/journal.js";

const [folder, reserveBytes] = process.argv.slice(2);
const WALL = Date.UTC(2026, 4, 4, 9, 0, 0);
const say = (line) => process.stdout.write(`${JSON.stringify(line)}\n`);

const journal = openJournal({
  folder,
  session: {
    start: `start-${process.pid}`,
    bootId: "boot-1",
    at: { wall: WALL, mono: 1000 },
    clock: "synchronised",
    version: "0.1.0",
    simulated: false,
    configHash: "c0ffee",
  },
  tuning: {
    ...{
      commitEveryMs: 10,
      parcelReadings: 500,
      retryMs: 5,
      reopenMs: 5,
      lookEveryMs: 20,
      closeWithinMs: 60_000,
    },
    reserveBytes: Number(reserveBytes),
  },
});
const saying = setInterval(() => say({ health: journal.health() }), 20);

let given = 0;
const run = (id) => ({
  ...{ id, number: 0, cause: "screen", startWall: WALL, startMono: 1000, bootId: "boot-1" },
  ...{ clockAtStart: "synchronised", settings: {}, simulated: false },
  ...{ endWall: null, endMono: null, endCause: null, stamp: null },
});
const alarm = (id) => ({
  ...{ id, alarm: "coolant-high", kind: "coolant-high", title: "Coolant too warm", priority: "high" },
  ...{ transition: "raised", from: "normal", to: "unacknowledged", wall: WALL, mono: 1000 },
  ...{ detail: "Coolant 23.1 °C, setpoint 22 °C", run: null, by: null },
});

for await (const line of createInterface({ input: process.stdin })) {
  const told = JSON.parse(line);
  if (told.readings !== undefined) {
    const batch = Array.from({ length: told.readings }, (_, i) => {
      const ms = given + i;
      return {
        ...{ channel: "coolant", value: ms, quality: "good", reason: null },
        at: { wall: WALL + ms, mono: 1000 + ms },
      };
    });
    given += told.readings;
    journal.readings(batch);
  }
  if (told.run !== undefined) journal.runBegun(run(told.run)).then(({ id }) => say({ kept: id }));
  if (told.alarm !== undefined)
    journal.alarmTransition(alarm(told.alarm)).then(() => say({ kept: told.alarm }));
  if (told.close) break;
}
clearInterval(saying);
await journal.close();
say({ health: journal.health() });
process.stdin.destroy();
