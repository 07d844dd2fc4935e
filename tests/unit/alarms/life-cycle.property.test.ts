import fc from "fast-check";
import { describe, expect, it } from "vitest";
import {
  acknowledge,
  putInService,
  reset,
  shelve,
  takeOutOfService,
  unshelve,
} from "../../../station/alarms/deeds.js";
import { createAlarmDesk } from "../../../station/alarms/desk.js";
import {
  type AlarmMemory,
  AT_REST,
  type Observation,
  type Stepped,
  step,
} from "../../../station/alarms/machine.js";
import type { TakenUp } from "../../../station/alarms/take-up.js";
import { AppError } from "../../../station/errors.js";
import type { AlarmState, AlarmTransition } from "../../../station/model/alarm.js";
import { definitions, scene } from "./desk-scenes.js";
import { at, definition } from "./given.js";

const DEEDS = ["acknowledge", "reset", "shelve", "unshelve", "out", "in"] as const;
const anyDeed = fc.constantFrom(...DEEDS);
const anySight = fc.record({
  afterMs: fc.integer({ min: 0, max: 30_000 }),
  presence: fc.constantFrom<Observation["presence"]>("present", "present", "absent", "absent", "unknown"),
  suppressed: fc.constantFrom(false, false, false, true),
});
const anyAct = fc.oneof({ arbitrary: anySight, weight: 5 }, { arbitrary: anyDeed, weight: 1 });
const anyAlarm = fc
  .record({ onDelayS: fc.constantFrom(0, 5), offDelayS: fc.constantFrom(0, 10), latching: fc.boolean() })
  .map((changes) =>
    definition({ kind: "extraction-no-air", setpoint: null, deadband: null, reAlarmMin: 1, ...changes }),
  );

const SHELF_MS = 60_000;
function doDeed(memory: AlarmMemory, deed: (typeof DEEDS)[number], mono: number): Stepped {
  switch (deed) {
    case "acknowledge":
      return acknowledge(memory, "");
    case "reset":
      return reset(memory, "");
    case "shelve":
      return shelve(memory, mono + SHELF_MS, "");
    case "unshelve":
      return unshelve(memory, "");
    case "out":
      return takeOutOfService(memory, "");
    case "in":
      return putInService(memory, "");
  }
}

/** Plays acts and looks at every change of state. `by` is null where time did it. */
function play(
  alarm: ReturnType<typeof definition>,
  acts: readonly (typeof anyAct extends fc.Arbitrary<infer A> ? A : never)[],
  look: (before: AlarmMemory, after: AlarmMemory, by: (typeof DEEDS)[number] | null, mono: number) => void,
) {
  let memory = AT_REST;
  let mono = 0;
  for (const act of acts) {
    const before = memory;
    if (typeof act === "string") {
      memory = doDeed(memory, act, mono).memory;
      look(before, memory, act, mono);
      continue;
    }
    mono += act.afterMs;
    const suppressedBy = act.suppressed ? "The machine is off" : null;
    const sees = { presence: act.presence, value: null, holdMs: 5000, detail: "seen", suppressedBy };
    for (let last: Stepped | null = null; last === null || last.transition !== null; ) {
      const from = memory;
      last = step(memory, alarm, sees, { mono, wall: 0 });
      memory = last.memory;
      look(from, memory, null, mono);
    }
  }
}

const WAITING: readonly AlarmState[] = [
  "unacknowledged",
  "returned-unacknowledged",
  "latched-unacknowledged",
];

describe("whatever happens to an alarm in its whole life", () => {
  it("one that waits for a person waits until a person does something", () => {
    fc.assert(
      fc.property(anyAlarm, fc.array(anyAct, { maxLength: 80 }), (alarm, acts) => {
        play(alarm, acts, (before, after, by) => {
          if (by === null && WAITING.includes(before.state)) expect(WAITING).toContain(after.state);
        });
      }),
      { numRuns: 400 },
    );
  });

  it("a shelf ends, and what is there then is raised", () => {
    fc.assert(
      fc.property(anyAlarm, fc.array(anyAct, { maxLength: 80 }), (alarm, acts) => {
        let until = Number.POSITIVE_INFINITY;
        play(alarm, acts, (before, after, by, mono) => {
          if (by === "shelve" && before.state !== "shelved" && after.state === "shelved")
            until = mono + SHELF_MS;
          if (after.state !== "shelved") until = Number.POSITIVE_INFINITY;
          if (by === null) expect(mono).toBeLessThan(until);
        });
      }),
      { numRuns: 400 },
    );
  });

  it("a latch is let go by nobody but a person who has seen it", () => {
    fc.assert(
      fc.property(fc.array(anyAct, { maxLength: 80 }), (acts) => {
        const alarm = definition({
          kind: "extraction-no-air",
          setpoint: null,
          deadband: null,
          latching: true,
        });
        play(alarm, acts, (before, after, by) => {
          if (before.state === "latched-acknowledged" && after.state === "normal") expect(by).toBe("reset");
          if (before.state === "latched-unacknowledged") expect(after.state).not.toBe("normal");
        });
      }),
    );
  });

  it("a contact that comes and goes at least once a minute gives one alarm, or two where it was slow to show it", () => {
    const gaps = fc.array(fc.integer({ min: 100, max: 29_000 }), { minLength: 20, maxLength: 60 });
    fc.assert(
      fc.property(anyAlarm, gaps, (alarm, flips) => {
        const transitions: string[] = [];
        let memory = AT_REST;
        let mono = 0;
        flips.forEach((gap, i) => {
          const presence = i % 2 === 0 ? "present" : "absent";
          // Looked at twice a second, as the station does.
          for (const end = mono + gap; mono < end; mono += 500) {
            const stepped = step(
              memory,
              alarm,
              { presence, value: null, holdMs: 0, detail: "" },
              { mono, wall: 0 },
            );
            memory = stepped.memory;
            if (stepped.transition !== null) transitions.push(stepped.transition.transition);
          }
        });
        expect(transitions.filter((each) => each === "raised").length).toBeLessThanOrEqual(2);
        expect(transitions.filter((each) => /returned|latched/.test(each)).length).toBeLessThanOrEqual(1);
      }),
      { numRuns: 200 },
    );
  });

  it("a contact that flutters is raised, though none of its turns outlasts the on-delay, and only once", () => {
    const flutter = fc.array(fc.integer({ min: 1, max: 4 }), { minLength: 40, maxLength: 80 });
    fc.assert(
      fc.property(flutter, (halfSeconds) => {
        const alarm = definition({
          kind: "extraction-no-air",
          setpoint: null,
          deadband: null,
          onDelayS: 3,
          offDelayS: 3,
        });
        const transitions: string[] = [];
        let memory = AT_REST;
        let mono = 0;
        halfSeconds.forEach((half, i) => {
          const presence = i % 2 === 0 ? "present" : "absent";
          for (let n = 0; n < half; n += 1, mono += 500) {
            const stepped = step(
              memory,
              alarm,
              { presence, value: null, holdMs: 0, detail: "" },
              { mono, wall: 0 },
            );
            memory = stepped.memory;
            if (stepped.transition !== null) transitions.push(stepped.transition.transition);
          }
        });
        expect(transitions).toEqual(["raised"]);
      }),
    );
  });
});

describe("a restart at any moment", () => {
  const anyScene = fc.record({
    seconds: fc.integer({ min: 1, max: 20 }),
    coolant: fc.constantFrom(20, 20, 23, 17),
    flow: fc.constantFrom<0 | 1>(0, 1, 1),
    deed: fc.option(
      fc.record({
        what: anyDeed,
        alarm: fc.constantFrom("coolant-high", "coolant-low", "coolant-flow-lost"),
      }),
    ),
  });

  it("gives the desk that there was", () => {
    fc.assert(
      fc.property(fc.array(anyScene, { minLength: 1, maxLength: 12 }), (scenes) => {
        const desk = createAlarmDesk(definitions, { startId: "a" });
        const kept: AlarmTransition[] = [];
        const held = new Map<string, TakenUp>();
        let second = 0;
        const perform = (what: (typeof DEEDS)[number], alarm: string) => {
          const deed = { alarm, by: "phone", now: at(second), run: null };
          const since = { wall: at(second).wall, mono: null };
          const again = { by: "phone", reason: "why", since, latestEndWall: null };
          if (what === "shelve") {
            held.set(alarm, { ...again, shelvedUntil: (second + 60) * 1000 });
            return desk.shelve({ ...deed, minutes: 1, reason: "why" });
          }
          if (what === "out") {
            held.set(alarm, { ...again, shelvedUntil: null });
            return desk.takeOutOfService({ ...deed, reason: "why" });
          }
          if (what === "acknowledge") return desk.acknowledge(alarm, "phone", at(second), null);
          return what === "reset"
            ? desk.reset(deed)
            : what === "in"
              ? desk.putInService(deed)
              : desk.unshelve(deed);
        };
        for (const { seconds, coolant, flow, deed } of scenes) {
          const before = new Map(held);
          try {
            if (deed !== null) kept.push(perform(deed.what, deed.alarm));
          } catch (error) {
            // What cannot be done in this state changes nothing.
            expect(error).toBeInstanceOf(AppError);
            held.clear();
            for (const [id, each] of before) held.set(id, each);
          }
          for (let n = 0; n < seconds; n += 1, second += 1)
            kept.push(...desk.update(scene(second, coolant, flow)));
        }
        const again = createAlarmDesk(definitions, { startId: "b" });
        again.restore(kept, held);
        const shown = (one: typeof desk) => ({
          standing: one
            .standing()
            .map(({ alarm, state, raisedWall, firstOut }) => ({ alarm, state, raisedWall, firstOut })),
          suppressed: one
            .suppressed()
            .map(({ alarm, state, reason, by }) => ({ alarm, state, reason, by }))
            // Their order goes by the time that is left, which is not looked at before the first picture.
            .sort((a, b) => a.alarm.localeCompare(b.alarm)),
          sound: one.annunciation(),
          pin: one.pinWanted(),
        });
        expect(shown(again)).toEqual(shown(desk));
      }),
      { numRuns: 150 },
    );
  });
});
