import fc from "fast-check";
import { createClockWatch } from "../../../../station/clock-watch.js";
import type { Action, SessionStart } from "../../../../station/journal/protocol.js";
import { createWriter, type Writer } from "../../../../station/journal/writer.js";
import type { ClockState, Instant } from "../../../../station/model/instant.js";
import type { Reading } from "../../../../station/model/reading.js";
import { type Bench, channel, columnsOf, reading, sessionStart } from "../samples.js";

const HOUR = 3_600_000;
export const CHANNELS = ["coolant", "room"];

/** What happens to a station, one thing after another. */
export type Event =
  | { readonly what: "readings"; readonly count: number; readonly everyMs: number; readonly tidy: number }
  | { readonly what: "clock"; readonly shift: number; readonly state: ClockState }
  | { readonly what: "restart"; readonly boot: boolean; readonly shift: number; readonly state: ClockState }
  | { readonly what: "maintenance" };

const someState = fc.constantFrom<ClockState>(
  "synchronised",
  "not synchronised",
  "not synchronised",
  "unknown",
);
// Steps of no less than a clock counts as set by, so that the true time is the same to the millisecond.
const someShift = fc.oneof(
  { weight: 1, arbitrary: fc.constant(0) },
  { weight: 1, arbitrary: fc.integer({ min: 1000, max: 60 * HOUR }) },
  { weight: 1, arbitrary: fc.integer({ min: -60 * HOUR, max: -1000 }) },
  { weight: 1, arbitrary: fc.constant(20_000 * 24 * HOUR) },
);
export const someEvents: fc.Arbitrary<Event[]> = fc.array(
  fc.oneof(
    {
      weight: 6,
      arbitrary: fc.record({
        what: fc.constant("readings" as const),
        count: fc.integer({ min: 1, max: 60 }),
        everyMs: fc.constantFrom(1, 1000, 400_000, 400_000),
        // Steps of placing and sealing after it.
        tidy: fc.nat(20),
      }),
    },
    {
      weight: 3,
      arbitrary: fc.record({ what: fc.constant("clock" as const), shift: someShift, state: someState }),
    },
    {
      weight: 1,
      arbitrary: fc.record({
        what: fc.constant("restart" as const),
        boot: fc.boolean(),
        shift: someShift,
        state: someState,
      }),
    },
    { weight: 1, arbitrary: fc.constant({ what: "maintenance" as const }) },
  ),
  { minLength: 10, maxLength: 30 },
);

/** A reading as it was given, and what a slow but plain look at the whole story says of its wall time. */
export interface Told {
  readonly reading: Reading;
  readonly bootId: string;
  /** Recorded by a clock that was set, or placed. */
  known: boolean;
  wall: number;
}

export interface Story {
  readonly readings: readonly Told[];
  readonly maintenance: readonly Pick<Told, "wall">[];
  readonly boots: readonly string[];
}

/** Lives through the events as a station does, its journal written by `bench`'s database. */
export function live(bench: Bench, events: readonly Event[], first: ClockState, name: string): Story {
  const readings: Told[] = [];
  const maintenance: Told[] = [];
  const boots: string[] = [];
  let now: Instant = { wall: 86_400_000, mono: 5000 };
  let state = first;
  let starts = 0;
  let bootId = "";
  let writer: Writer = bench.writer;
  let watch = createClockWatch(now, state);
  let number = 0;

  function put(batch: readonly Reading[], action: Action | null): void {
    number++;
    const { refused } = writer.commit({
      number,
      readings: batch.length === 0 ? null : columnsOf(batch),
      action,
    });
    if (refused !== null) throw new Error(refused.detail);
  }

  function start(boot: boolean): void {
    if (boot) {
      bootId = `${name}-boot-${boots.length}`;
      boots.push(bootId);
    }
    starts++;
    number = 0;
    const session: SessionStart = sessionStart({ start: `${name}-${starts}`, bootId, at: now, clock: state });
    writer = createWriter(bench.db, session, () => 0);
    watch = createClockWatch(now, state);
    put([], { name: "channelsDefined", params: CHANNELS.map((id) => channel(`${name}-${id}`)) });
    settle();
  }

  /** Once the clock is set, all of this boot back to where it was before has its true time. */
  function settle(): void {
    if (state !== "synchronised") return;
    const ahead = now.wall - now.mono;
    for (const list of [readings, maintenance]) {
      for (let i = list.length - 1; i >= 0; i--) {
        const told = list[i] as Told;
        if (told.bootId !== bootId || told.known) break;
        told.wall = told.reading.at.mono + ahead;
        told.known = true;
      }
    }
  }

  function pass(ms: number): void {
    now = { wall: now.wall + ms, mono: now.mono + ms };
  }

  function tell(list: Told[], at: Instant, id = "coolant"): Reading {
    // Each clock is cut to whole milliseconds by itself, so that one may be a millisecond ahead of the other or behind it.
    const wall = Math.max(0, at.wall + (list.length % 3) - 1);
    const value = 18 + (list.length % 40) / 16;
    const made: Reading = { ...reading(`${name}-${id}`, 0, value), at: { wall, mono: at.mono } };
    list.push({ reading: made, bootId, known: state === "synchronised", wall });
    return made;
  }

  start(true);
  for (const event of events) {
    pass(1000);
    if (event.what === "readings") {
      const batch: Reading[] = [];
      for (let i = 0; i < event.count; i++) {
        pass(event.everyMs);
        batch.push(tell(readings, now, CHANNELS[i % 2]));
      }
      put(batch, null);
      for (let i = 0; i < event.tidy; i++) writer.tidy();
    } else if (event.what === "maintenance") {
      const { at } = tell(maintenance, now);
      put([], { name: "maintenance", params: { kind: name, at, note: "" } });
    } else {
      if (event.what === "restart" && event.boot) now = { wall: now.wall, mono: 5000 };
      now = { wall: Math.max(0, now.wall + event.shift), mono: now.mono };
      state = event.state;
      if (event.what === "restart") {
        start(event.boot);
        continue;
      }
      const step = watch.look(now, state);
      if (step !== null) put([], { name: "clockStepped", params: step });
      settle();
    }
  }
  return { readings, maintenance, boots };
}
