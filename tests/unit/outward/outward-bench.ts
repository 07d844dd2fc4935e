import type { KeepNotices } from "../../../station/journal/notices.js";
import type { Action } from "../../../station/journal/protocol.js";
import { createWriter } from "../../../station/journal/writer.js";
import type { AlarmTransition } from "../../../station/model/alarm.js";
import { createOutwardDesk, type OutwardDesk } from "../../../station/outward/desk.js";
import { type OutwardEntry, outwardSchema } from "../../../station/outward/entry.js";
import type { Outgoing } from "../../../station/outward/outgoing.js";
import { sessionStart, transition, WALL, writerBench } from "../journal/samples.js";

export const MINUTE = 60_000;
export const HOUR = 60 * MINUTE;

export const MAIL = { host: "mail.example", from: "station@shop.example", to: ["owner@shop.example"] };
export const WEBHOOK = { url: "https://hook.example/in?key=12345" };

export function entryOf(changes: object): OutwardEntry {
  return outwardSchema.parse(changes);
}

/** A desk over a journal of its own, with a clock and servers that do as they are told. */
export function outwardBench(entry: OutwardEntry, { simulated = false } = {}) {
  const bench = writerBench(sessionStart());
  let at = 0;
  let start = 1;
  let number = 0;
  let writer = bench.writer;
  let refusing: (message: Outgoing) => string | null = () => null;
  let hanging = false;
  let diskHangs = false;
  let puttingOff: string | null = null;
  let forGood: string | null = null;
  let pauses: { readonly until: number; readonly over: () => void }[] = [];
  const sent: Outgoing[] = [];
  const tries: Outgoing[] = [];
  const keep = (async (name: string, params: unknown) => {
    if (diskHangs) return await new Promise(() => {});
    number++;
    const { result, refused } = writer.commit({
      number,
      readings: null,
      action: { name, params } as Action,
    });
    if (refused !== null) throw new Error(refused.detail);
    return result;
  }) as unknown as KeepNotices;

  function desk(): OutwardDesk {
    return createOutwardDesk({
      ...{ entry, station: "Back shed", simulated, keep, random: () => 0.5 },
      clock: {
        now: () => ({ wall: WALL + at, mono: 1000 + at }),
        state: () => "synchronised",
        bootId: "boot-1",
      },
      start: `start-${start}`,
      definition: () => ({ consequence: "The tube may crack.", action: "Stop cutting." }),
      send(message) {
        tries.push(message);
        if (hanging) return new Promise(() => {});
        const words = refusing(message);
        if (words !== null) return Promise.reject(new Error(words));
        if (forGood !== null) return Promise.resolve({ note: forGood, again: false, nobody: true });
        sent.push(message);
        return Promise.resolve({ note: puttingOff, again: puttingOff !== null, nobody: false });
      },
      pause: (ms) => new Promise<void>((over) => pauses.push({ until: at + ms, over })),
      timeOfDay: (wall) => new Date(wall).toISOString().slice(11, 16),
      when: (wall) => new Date(wall).toISOString(),
      failed: (error) => {
        throw error;
      },
      log: () => {},
    });
  }

  const rig = {
    desk: desk(),
    sent,
    tries,
    reads: bench.db,
    /** The servers refuse with these words, or take what comes (null). */
    refuse(words: string | null, only: (message: Outgoing) => boolean = () => true) {
      refusing = (message) => (only(message) ? words : null);
      hanging = false;
    },
    /** The servers take what comes for some of those it goes to, and put the others off with these words; null: for all. */
    putOff(words: string | null) {
      puttingOff = words;
    },
    /** The servers refuse what comes for good with these words; null: no longer. */
    refuseForGood(words: string | null) {
      forGood = words;
    },
    hang() {
      hanging = true;
    },
    raise(id: string, changes: Partial<AlarmTransition> = {}) {
      rig.desk.told([alarm(id, changes)]);
    },
    /** What is to be kept is not kept from now on, and no answer comes. */
    hangDisk() {
      diskHangs = true;
    },
    /** One with the time of the bench. */
    async settle() {
      for (let i = 0; i < 20; i++) await Promise.resolve();
    },
    /** Time goes on, a look at a time, each after what was under way is done. */
    async pass(ms: number, step = 500) {
      for (const end = at + ms; at < end; ) {
        at = Math.min(end, at + step);
        for (const { over } of pauses.filter(({ until }) => until <= at)) over();
        pauses = pauses.filter(({ until }) => until > at);
        rig.desk.tick({ wall: WALL + at, mono: 1000 + at });
        await rig.settle();
      }
    },
    /** The station is killed, and starts again over the same journal in the same boot. */
    async restart(last: readonly AlarmTransition[] = []) {
      start++;
      number = 0;
      writer = createWriter(bench.db, sessionStart({ start: `start-${start}` }), () => 0);
      rig.desk = desk();
      await rig.desk.takeUp(await keep("noticesLeft", null), last);
    },
    states(): Record<string, string> {
      const rows = bench.db
        .prepare<[], { key: string; state: string }>("SELECT key, state FROM notice")
        .all();
      return Object.fromEntries(rows.map(({ key, state }) => [key, state]));
    },
    remove: bench.remove,
  };
  function alarm(id: string, changes: Partial<AlarmTransition> = {}): AlarmTransition {
    return transition(id, { wall: WALL + at, mono: 1000 + at, ...changes });
  }
  return {
    ...rig,
    alarm,
    get desk() {
      return rig.desk;
    },
    set desk(one) {
      rig.desk = one;
    },
  };
}
