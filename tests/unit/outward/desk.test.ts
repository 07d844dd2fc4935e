import { afterEach, expect, it } from "vitest";
import type { Outgoing } from "../../../station/outward/outgoing.js";
import { WALL } from "../journal/samples.js";
import { entryOf, HOUR, MAIL, MINUTE, outwardBench, WEBHOOK } from "./outward-bench.js";

let bench: ReturnType<typeof outwardBench>;
afterEach(() => bench.remove());

function subjects(messages: readonly Outgoing[]): string[] {
  return messages.flatMap((message) => (message.way === "mail" ? [message.mail.subject] : []));
}

function keysOf(messages: readonly Outgoing[]): string[] {
  return messages.flatMap((message) => (message.way === "webhook" ? [message.key] : []));
}

it("an alarm goes out by each way that wants it, once, and the journal knows", async () => {
  bench = outwardBench(entryOf({ mail: MAIL, webhook: WEBHOOK }));
  bench.raise("1-1", { priority: "urgent" });
  bench.raise("1-2", { priority: "low" });
  bench.desk.told([
    bench.alarm("1-3", { transition: "acknowledged", to: "acknowledged", by: "Wall screen" }),
  ]);
  await bench.pass(5000);
  expect(subjects(bench.sent)).toEqual(["URGENT: Coolant too warm (Back shed)"]);
  expect(keysOf(bench.sent)).toEqual(["webhook:1-1", "webhook:1-2", "webhook:1-3"]);
  expect(bench.states()).toEqual({
    "mail:1-1": "sent",
    "webhook:1-1": "sent",
    "webhook:1-2": "sent",
    "webhook:1-3": "sent",
  });
  await bench.restart([bench.alarm("1-2", { priority: "low" })]);
  await bench.pass(10 * MINUTE);
  expect(bench.tries).toHaveLength(4);
});

it("what is refused is tried again, longer and longer apart, by the clock, and each time the same", async () => {
  bench = outwardBench(entryOf({ webhook: WEBHOOK }));
  bench.refuse("hook.example: nothing listens at this address and port");
  bench.raise("1-1");
  const counts: number[] = [];
  for (let minute = 0; minute < 4 * 60; minute++) {
    await bench.pass(MINUTE);
    counts.push(bench.tries.length);
  }
  // 15 s doubled each time, up to 30 min: tries at 0, 15 s, 45 s, 1:45, 3:45, 7:45, 15:45, 31:45, 61:45 and so on.
  expect([0, 1, 3, 7, 15, 31, 61, 91].map((minute) => counts[minute])).toEqual([3, 4, 5, 6, 7, 8, 9, 10]);
  expect(bench.desk.view().ways[2]).toMatchObject({
    waiting: 1,
    oldestWall: WALL,
    error: "hook.example: nothing listens at this address and port",
    lastSentWall: null,
  });
  bench.refuse(null);
  await bench.pass(HOUR);
  expect(bench.sent).toHaveLength(1);
  expect(new Set(bench.tries.map((message) => JSON.stringify(message))).size).toBe(1);
  expect(bench.desk.view().ways[2]).toMatchObject({ waiting: 0, error: null, nextTryMs: null });
});

it("an urgent one is tried every few minutes at least", async () => {
  bench = outwardBench(entryOf({ webhook: WEBHOOK }));
  bench.refuse("no");
  bench.raise("1-1", { priority: "urgent" });
  await bench.pass(2 * HOUR);
  const before = bench.tries.length;
  bench.refuse(null);
  await bench.pass(5 * MINUTE);
  expect(before).toBeGreaterThan(20);
  expect(bench.sent).toHaveLength(1);
});

it("one that is refused for ever keeps nothing behind it waiting, and is given up after three days", async () => {
  bench = outwardBench(entryOf({ webhook: WEBHOOK }));
  bench.refuse("status 400", (message) => message.way === "webhook" && message.key === "webhook:1-1");
  bench.raise("1-1");
  await bench.settle();
  bench.raise("1-2");
  await bench.pass(MINUTE);
  expect(keysOf(bench.sent)).toEqual(["webhook:1-2"]);
  await bench.pass(72 * HOUR + MINUTE, 30_000);
  expect(bench.states()).toEqual({ "webhook:1-1": "given-up", "webhook:1-2": "sent" });
  expect(bench.desk.view().ways[2]).toMatchObject({ waiting: 0, givenUp: 1 });
  const tries = bench.tries.length;
  await bench.restart();
  await bench.pass(HOUR);
  expect(bench.tries).toHaveLength(tries);
  expect(bench.desk.view().ways[2]).toMatchObject({ waiting: 0, givenUp: 1 });
});

it("what waited when the station was killed is sent by the next start, with the id it had", async () => {
  bench = outwardBench(entryOf({ mail: MAIL, webhook: WEBHOOK }));
  bench.hang();
  bench.raise("1-1");
  bench.raise("1-2");
  await bench.settle();
  const [first] = bench.tries.filter(({ way }) => way === "mail");
  bench.refuse(null);
  await bench.restart();
  await bench.pass(20 * MINUTE);
  const mails = bench.sent.filter(({ way }) => way === "mail");
  expect(mails).toHaveLength(2);
  expect(mails).toContainEqual(first);
  expect(keysOf(bench.sent).sort()).toEqual(["webhook:1-1", "webhook:1-2"]);
});

it("an alarm that the journal kept, and no notice of it, is told after the start; one of yesterday is not", async () => {
  bench = outwardBench(entryOf({ webhook: WEBHOOK }));
  await bench.restart([
    bench.alarm("1-1"),
    bench.alarm("1-0", { wall: WALL - 24 * HOUR, alarm: "coolant-low", kind: "coolant-low" }),
  ]);
  await bench.pass(MINUTE);
  expect(keysOf(bench.sent)).toEqual(["webhook:1-1"]);
});

it("mails in a flood go together in one, which is the same at every try; an urgent one takes all with it", async () => {
  bench = outwardBench(entryOf({ mail: { ...MAIL, most_in_10_min: 3 } }));
  for (let i = 0; i < 20; i++) {
    bench.raise(`1-${i}`);
    await bench.pass(5000);
  }
  expect(bench.sent).toHaveLength(3);
  expect(bench.desk.view().ways[0]).toMatchObject({ waiting: 17 });
  bench.raise("1-20", { priority: "urgent" });
  await bench.pass(1000);
  expect(subjects(bench.sent).at(-1)).toBe("URGENT: Coolant too warm and 17 more (Back shed)");
  bench.refuse("greylisted");
  for (let i = 21; i < 24; i++) bench.raise(`1-${i}`);
  await bench.pass(11 * MINUTE);
  const together = bench.tries.at(-1);
  await bench.restart();
  bench.raise("1-24");
  bench.refuse(null);
  await bench.pass(30 * MINUTE);
  expect(bench.sent).toContainEqual(together);
  expect(bench.sent).toHaveLength(6);
  expect(new Set(Object.values(bench.states()))).toEqual(new Set(["sent"]));
});

it("what some have yet to get goes again, the same, and neither counts as sent nor holds others up", async () => {
  bench = outwardBench(entryOf({ mail: MAIL }));
  bench.putOff("1 of 2 put off");
  bench.raise("1-1");
  await bench.pass(3 * MINUTE);
  expect(bench.sent).toHaveLength(4);
  expect(new Set(bench.sent.map((message) => JSON.stringify(message))).size).toBe(1);
  expect(bench.states()).toEqual({ "mail:1-1": "waiting" });
  expect(bench.desk.view().ways[0]).toMatchObject({
    ...{
      waiting: 1,
      error: "1 of 2 put off",
      lastSentWall: expect.any(Number),
      nextTryMs: expect.any(Number),
    },
  });
  bench.putOff(null);
  bench.raise("1-2");
  await bench.settle();
  expect(bench.states()).toEqual({ "mail:1-1": "waiting", "mail:1-2": "sent" });
  await bench.pass(5 * MINUTE);
  expect(bench.sent).toHaveLength(6);
  expect(bench.states()).toEqual({ "mail:1-1": "sent", "mail:1-2": "sent" });
  expect(bench.desk.view().ways[0]).toMatchObject({ waiting: 0, error: null, nextTryMs: null });
});

it("while the disk hangs what goes together goes all the same, and holds no urgent one up", async () => {
  bench = outwardBench(entryOf({ mail: MAIL }));
  bench.hangDisk();
  bench.desk.told([bench.alarm("1-1"), bench.alarm("1-2")]);
  bench.raise("1-3", { priority: "urgent", title: "Extraction has stopped" });
  await bench.pass(5000);
  expect(subjects(bench.sent)).toEqual([
    "High: Coolant too warm and 1 more (Back shed)",
    "URGENT: Extraction has stopped (Back shed)",
  ]);
});

it("in quiet hours mails wait, and go together in the morning; urgent ones and other ways do not wait", async () => {
  // The bench begins at 09:00 UTC.
  const quiet = { from: "22:00", to: "07:00" };
  bench = outwardBench(entryOf({ quiet_hours: quiet, mail: MAIL, webhook: WEBHOOK }));
  await bench.pass(14 * HOUR, MINUTE);
  bench.raise("1-1");
  bench.raise("1-2");
  await bench.pass(HOUR, MINUTE);
  expect(subjects(bench.sent)).toEqual([]);
  expect(keysOf(bench.sent)).toHaveLength(2);
  expect(bench.desk.view().ways[0]).toMatchObject({ quiet: true, waiting: 2, error: null });
  bench.raise("1-3", { priority: "urgent", title: "Extraction has stopped" });
  await bench.pass(MINUTE);
  expect(subjects(bench.sent)).toEqual(["URGENT: Extraction has stopped (Back shed)"]);
  await bench.pass(8 * HOUR, MINUTE);
  expect(subjects(bench.sent)).toHaveLength(2);
  expect(subjects(bench.sent).at(-1)).toBe("High: Coolant too warm and 1 more (Back shed)");
});

it("everything of the simulated bench says so", async () => {
  bench = outwardBench(
    entryOf({ tell_start: true, mail: MAIL, mqtt: { url: "mqtt://b" }, webhook: WEBHOOK }),
    {
      simulated: true,
    },
  );
  bench.desk.started();
  await bench.pass(MINUTE);
  bench.raise("1-1");
  await bench.pass(MINUTE);
  expect(bench.sent).toHaveLength(6);
  for (const message of bench.sent) {
    if (message.way !== "mail") expect(message.event.simulated).toBe(true);
    else {
      expect(message.mail.subject).toMatch(/^SIMULATED: /);
      expect(message.mail.text).toMatch(/^SIMULATED: /);
    }
  }
});

it("what is refused for good by everybody is given up at once, said, and holds up nothing behind it", async () => {
  bench = outwardBench(entryOf({ mail: MAIL }));
  const why = "mail.example refuses every address for good (550): see that they are right";
  bench.refuseForGood(why);
  bench.raise("1-1");
  await bench.pass(HOUR, MINUTE);
  expect(bench.tries).toHaveLength(1);
  expect(bench.states()).toEqual({ "mail:1-1": "given-up" });
  expect(bench.desk.view().ways[0]).toMatchObject({
    ...{ waiting: 0, error: why, givenUp: 1, lastSentWall: null, nextTryMs: null },
    lastGivenUpWall: expect.any(Number),
  });
  bench.refuseForGood(null);
  bench.raise("1-2");
  await bench.settle();
  expect(bench.states()).toEqual({ "mail:1-1": "given-up", "mail:1-2": "sent" });
  expect(bench.desk.view().ways[0]).toMatchObject({ error: null, givenUp: 1 });
});
