import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { isBeyond } from "../../../station/alarms/compare.js";
import {
  type AlarmMemory,
  AT_REST,
  acknowledge,
  isActive,
  type Observation,
  step,
} from "../../../station/alarms/machine.js";
import type { AlarmState, AlarmTransitionKind } from "../../../station/model/alarm.js";
import { definition } from "./given.js";

const SETPOINT = 22;
const DEADBAND = 0.5;

const sees = (value: number | null): Observation =>
  value === null
    ? { presence: "unknown", value: null, detail: "not known" }
    : { presence: isBeyond("high", value, SETPOINT) ? "present" : "absent", value, detail: `${value} °C` };

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
  { arbitrary: fc.constant(null), weight: 1 },
);
const anyStep = fc.record({ afterMs: fc.integer({ min: 0, max: 4000 }), value: anyValue });
const anyDelays = fc.record({ onDelayS: fc.constantFrom(0, 1, 5), offDelayS: fc.constantFrom(0, 2, 10) });
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
        : step(memory, alarm, sees(act.value), { mono, wall: wall(mono, i) });
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

/**
 * The alarm told again from its whole history, without delays that are counted: it is raised when every sight since a
 * moment at least the on-delay ago said "present", and returns likewise.
 */
class History {
  state: AlarmState = "normal";
  mono = 0;
  private sights: { mono: number; word: string }[] = [];

  see(value: number | null, onMs: number, offMs: number): void {
    const active = this.state === "unacknowledged" || this.state === "acknowledged";
    const threshold = active ? SETPOINT - DEADBAND : SETPOINT;
    const word = value === null ? "unknown" : value > threshold ? "present" : "absent";
    this.sights.push({ mono: this.mono, word });
    const wanted = active ? "absent" : "present";
    const other = this.sights.findLastIndex((sight) => sight.word !== wanted);
    const first = this.sights[other + 1];
    if (first === undefined || this.mono - first.mono < (active ? offMs : onMs)) return;
    if (!active) this.state = "unacknowledged";
    else this.state = this.state === "acknowledged" ? "normal" : "returned-unacknowledged";
    this.sights = [];
  }

  acknowledge(): void {
    if (this.state === "unacknowledged") this.state = "acknowledged";
    else if (this.state === "returned-unacknowledged") this.state = "normal";
  }
}

interface Real {
  memory: AlarmMemory;
}

describe("whatever happens to an alarm", () => {
  it("it is in the state that its history asks for", () => {
    fc.assert(
      fc.property(anyDelays, (delays) => {
        const alarm = alarmWith(delays);
        const seeing = anyStep.map(({ afterMs, value }) => ({
          check: () => true,
          run(model: History, real: Real) {
            model.mono += afterMs;
            model.see(value, delays.onDelayS * 1000, delays.offDelayS * 1000);
            real.memory = step(real.memory, alarm, sees(value), { mono: model.mono, wall: 0 }).memory;
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
      { numRuns: 9 },
    );
  });

  it("it makes only changes of state that there are", () => {
    fc.assert(
      fc.property(anyDelays, fc.array(anyAct, { maxLength: 80 }), (delays, acts) => {
        for (const change of run(alarmWith(delays), acts, plainWall).changes) expect(LEGAL).toContain(change);
      }),
    );
  });

  it("a condition that stands for the on-delay is raised", () => {
    fc.assert(
      fc.property(
        anyDelays,
        fc.array(anyAct, { maxLength: 40 }),
        fc.array(fc.integer({ min: 1, max: 1500 }), { minLength: 1, maxLength: 10 }),
        (delays, before, gaps) => {
          const alarm = alarmWith(delays);
          const start = run(alarm, before, plainWall);
          let { memory, mono } = start;
          const begun = mono;
          const upTo = begun + delays.onDelayS * 1000;
          for (let i = 0; mono < upTo || i === 0; i += 1) {
            memory = step(memory, alarm, sees(23), { mono, wall: plainWall(mono) }).memory;
            mono += gaps[i % gaps.length] ?? 1;
          }
          memory = step(memory, alarm, sees(23), { mono, wall: plainWall(mono) }).memory;
          expect(isActive(memory.state)).toBe(true);
        },
      ),
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
      fc.property(anyDelays, state, chatter, (delays, from, steps) => {
        let memory: AlarmMemory = { state: from, pendingSince: null };
        let mono = 0;
        for (const { afterMs, value } of steps) {
          mono += afterMs;
          const stepped = step(memory, alarmWith(delays), sees(value), { mono, wall: plainWall(mono) });
          expect(stepped.transition).toBeNull();
          memory = stepped.memory;
        }
      }),
    );
  });

  it("setting the wall clock changes nothing", () => {
    const jumps = fc.array(fc.integer({ min: -4e12, max: 4e12 }), { minLength: 1, maxLength: 20 });
    fc.assert(
      fc.property(anyDelays, fc.array(anyAct, { maxLength: 60 }), jumps, (delays, acts, walls) => {
        const alarm = alarmWith(delays);
        const jumped = run(alarm, acts, (_, i) => walls[i % walls.length] ?? 0);
        expect(jumped).toEqual(run(alarm, acts, plainWall));
      }),
    );
  });

  it("a dead sensor changes no state, however long it lasts", () => {
    fc.assert(
      fc.property(
        anyDelays,
        fc.array(anyAct, { maxLength: 40 }),
        fc.integer({ min: 0, max: 1e9 }),
        (delays, acts, ms) => {
          const alarm = alarmWith(delays);
          const { memory, mono } = run(alarm, acts, plainWall);
          const blind = step(memory, alarm, sees(null), { mono: mono + ms, wall: 0 });
          expect(blind.transition).toBeNull();
          expect(blind.memory).toEqual({ state: memory.state, pendingSince: null });
        },
      ),
    );
  });
});
