import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { isBeyond } from "../../../station/alarms/compare.js";
import { acknowledge } from "../../../station/alarms/deeds.js";
import {
  type AlarmMemory,
  AT_REST,
  isActive,
  type Observation,
  settled,
  step,
} from "../../../station/alarms/machine.js";
import type { AlarmState, AlarmTransitionKind } from "../../../station/model/alarm.js";
import { definition } from "./given.js";
import { DEADBAND, History, SETPOINT } from "./history.js";

const sees = (value: number | null, holdMs: number): Observation =>
  value === null
    ? { presence: "unknown", value: null, detail: "not known", holdMs }
    : {
        presence: isBeyond("high", value, SETPOINT) ? "present" : "absent",
        value,
        detail: `${value} °C`,
        holdMs,
      };

/** Every change of state there is; anything else is a mistake. */
const LEGAL: ReadonlySet<string> = new Set<`${AlarmState} ${AlarmTransitionKind} ${AlarmState}`>([
  "normal raised unacknowledged",
  "returned-unacknowledged raised unacknowledged",
  "unacknowledged acknowledged acknowledged",
  "returned-unacknowledged acknowledged normal",
  "unacknowledged returned returned-unacknowledged",
  "acknowledged returned-to-normal normal",
]);

const anyValue = fc.oneof(
  { arbitrary: fc.constantFrom(21.4, 21.5, 21.6, 22, 22.1, 23), weight: 8 },
  { arbitrary: fc.constant(null), weight: 3 },
);
const anyStep = fc.record({ afterMs: fc.integer({ min: 0, max: 4000 }), value: anyValue });
const anyDelays = fc.record({ onDelayS: fc.constantFrom(0, 1, 5), offDelayS: fc.constantFrom(0, 2, 10) });
/** With none, an unknown of any length starts a delay again. */
const anyHold = fc.constantFrom(0, 1500, 10_000);
const anyAct = fc.oneof(
  { arbitrary: anyStep, weight: 9 },
  { arbitrary: fc.constant("acknowledge" as const), weight: 1 },
);
type Act = { afterMs: number; value: number | null } | "acknowledge";

const alarmWith = (delays: { onDelayS: number; offDelayS: number }) =>
  definition({ setpoint: SETPOINT, deadband: DEADBAND, ...delays });

/** Runs acts and returns the memory, the time and each change as a word; `wall` says what the wall clock shows. */
function run(
  alarm: ReturnType<typeof alarmWith>,
  acts: readonly Act[],
  holdMs: number,
  wall: (mono: number, i: number) => number,
) {
  let memory: AlarmMemory = AT_REST;
  let mono = 0;
  const changes: string[] = [];
  acts.forEach((act, i) => {
    if (act !== "acknowledge") mono += act.afterMs;
    const { memory: next, transition } =
      act === "acknowledge"
        ? acknowledge(memory, "seen")
        : step(memory, alarm, sees(act.value, holdMs), { mono, wall: wall(mono, i) });
    if (transition === null) expect(next.state).toBe(memory.state);
    else {
      expect(transition.from).toBe(memory.state);
      expect(transition.to).toBe(next.state);
      changes.push(`${transition.from} ${transition.transition} ${transition.to}`);
    }
    memory = next;
  });
  return { memory, mono, changes };
}

const plainWall = (mono: number) => 1_750_000_000_000 + mono;

interface Real {
  memory: AlarmMemory;
}

describe("whatever happens to an alarm", () => {
  it("it is in the state that its history asks for", () => {
    fc.assert(
      fc.property(anyDelays, anyHold, (delays, holdMs) => {
        const alarm = alarmWith(delays);
        const seeing = anyStep.map(({ afterMs, value }) => ({
          check: () => true,
          run(model: History, real: Real) {
            model.mono += afterMs;
            model.see(value, delays.onDelayS * 1000, delays.offDelayS * 1000, holdMs);
            const now = { mono: model.mono, wall: 0 };
            real.memory = step(real.memory, alarm, sees(value, holdMs), now).memory;
            expect(real.memory.state).toBe(model.state);
          },
          toString: () => `${afterMs} ms later: ${value ?? "unknown"}`,
        }));
        const acknowledging = fc.constant({
          check: () => true,
          run(model: History, real: Real) {
            model.acknowledge();
            real.memory = acknowledge(real.memory, "seen").memory;
            expect(real.memory.state).toBe(model.state);
          },
          toString: () => "acknowledge",
        });
        fc.assert(
          fc.property(
            fc.commands([seeing, seeing, seeing, acknowledging], { maxCommands: 60 }),
            (commands) => {
              fc.modelRun(() => ({ model: new History(), real: { memory: AT_REST } }), commands);
            },
          ),
          { numRuns: 40 },
        );
      }),
      { numRuns: 27 },
    );
  });

  it("it makes only changes of state that there are", () => {
    fc.assert(
      fc.property(anyDelays, anyHold, fc.array(anyAct, { maxLength: 80 }), (delays, holdMs, acts) => {
        for (const change of run(alarmWith(delays), acts, holdMs, plainWall).changes) {
          expect(LEGAL).toContain(change);
        }
      }),
    );
  });

  it("a condition that stands for the on-delay is raised", () => {
    fc.assert(
      fc.property(
        anyDelays,
        anyHold,
        fc.array(anyAct, { maxLength: 40 }),
        fc.array(fc.integer({ min: 1, max: 1500 }), { minLength: 1, maxLength: 10 }),
        (delays, holdMs, before, gaps) => {
          const alarm = alarmWith(delays);
          const start = run(alarm, before, holdMs, plainWall);
          let { memory, mono } = start;
          const begun = mono;
          const upTo = begun + delays.onDelayS * 1000;
          for (let i = 0; mono < upTo || i === 0; i += 1) {
            memory = step(memory, alarm, sees(23, holdMs), { mono, wall: plainWall(mono) }).memory;
            mono += gaps[i % gaps.length] ?? 1;
          }
          memory = step(memory, alarm, sees(23, holdMs), { mono, wall: plainWall(mono) }).memory;
          expect(isActive(memory.state)).toBe(true);
        },
      ),
    );
  });

  it("a condition seen only now and then is raised by the first sight of it after the on-delay", () => {
    const looks = fc.array(
      fc.record({ seenMs: fc.nat(3000), unknownMs: fc.integer({ min: 1, max: 9999 }) }),
      {
        minLength: 1,
        maxLength: 20,
      },
    );
    fc.assert(
      fc.property(anyDelays, looks, (delays, turns) => {
        const alarm = alarmWith(delays);
        let memory: AlarmMemory = AT_REST;
        let mono = 0;
        const look = (value: number | null) => {
          memory = step(memory, alarm, sees(value, 10_000), { mono, wall: 0 }).memory;
          if (value === null && mono >= delays.onDelayS * 1000) return;
          expect(isActive(memory.state)).toBe(mono >= delays.onDelayS * 1000);
        };
        for (const { seenMs, unknownMs } of turns) {
          look(23);
          mono += seenMs;
          look(23);
          look(null);
          mono += unknownMs;
          look(null);
        }
        look(23);
      }),
    );
  });

  it("a standing alarm returns on no less than the off-delay of time in which it was seen to be gone", () => {
    const looks = fc.array(
      fc.record({ goneMs: fc.nat(3000), unknownMs: fc.integer({ min: 1, max: 20_000 }) }),
      {
        minLength: 1,
        maxLength: 20,
      },
    );
    fc.assert(
      fc.property(anyDelays, anyHold, looks, (delays, holdMs, turns) => {
        const alarm = alarmWith(delays);
        let memory: AlarmMemory = settled("unacknowledged");
        let mono = 0;
        let goneMs = 0;
        const look = (value: number | null) => {
          memory = step(memory, alarm, sees(value, holdMs), { mono, wall: 0 }).memory;
          if (goneMs < delays.offDelayS * 1000) expect(memory.state).toBe("unacknowledged");
        };
        for (const turn of turns) {
          look(21);
          mono += turn.goneMs;
          goneMs += turn.goneMs;
          look(21);
          look(null);
          mono += turn.unknownMs;
          look(null);
        }
      }),
    );
  });

  it("chattering inside the deadband neither returns a standing alarm nor raises one that has returned", () => {
    const inside = fc.double({ min: SETPOINT - DEADBAND, max: SETPOINT, minExcluded: true, noNaN: true });
    const chatter = fc.array(fc.record({ afterMs: fc.integer({ min: 0, max: 20_000 }), value: inside }), {
      maxLength: 40,
    });
    const state = fc.constantFrom<AlarmState>(
      "normal",
      "unacknowledged",
      "acknowledged",
      "returned-unacknowledged",
    );
    fc.assert(
      fc.property(anyDelays, anyHold, state, chatter, (delays, holdMs, from, steps) => {
        let memory: AlarmMemory = settled(from);
        let mono = 0;
        for (const { afterMs, value } of steps) {
          mono += afterMs;
          const now = { mono, wall: plainWall(mono) };
          const stepped = step(memory, alarmWith(delays), sees(value, holdMs), now);
          expect(stepped.transition).toBeNull();
          memory = stepped.memory;
        }
      }),
    );
  });

  it("setting the wall clock changes nothing", () => {
    const jumps = fc.array(fc.integer({ min: -4e12, max: 4e12 }), { minLength: 1, maxLength: 20 });
    fc.assert(
      fc.property(
        anyDelays,
        anyHold,
        fc.array(anyAct, { maxLength: 60 }),
        jumps,
        (delays, holdMs, acts, walls) => {
          const alarm = alarmWith(delays);
          const jumped = run(alarm, acts, holdMs, (_, i) => walls[i % walls.length] ?? 0);
          expect(jumped).toEqual(run(alarm, acts, holdMs, plainWall));
        },
      ),
    );
  });

  it("a dead sensor changes no state, however long it lasts, and from the hold on leaves no delay under way", () => {
    fc.assert(
      fc.property(
        anyDelays,
        anyHold,
        fc.array(anyAct, { maxLength: 40 }),
        fc.integer({ min: 0, max: 1e9 }),
        fc.integer({ min: 0, max: 1e9 }),
        (delays, holdMs, acts, ms, moreMs) => {
          const alarm = alarmWith(delays);
          const { memory, mono } = run(alarm, acts, holdMs, plainWall);
          const blind = step(memory, alarm, sees(null, holdMs), { mono: mono + ms, wall: 0 });
          expect(blind.transition).toBeNull();
          expect(blind.memory.state).toBe(memory.state);
          const later = { mono: mono + ms + holdMs + moreMs, wall: 0 };
          const stillBlind = step(blind.memory, alarm, sees(null, holdMs), later);
          expect(stillBlind.transition).toBeNull();
          expect(stillBlind.memory).toMatchObject({
            state: memory.state,
            pendingSince: null,
            unknownSince: null,
          });
        },
      ),
    );
  });
});
