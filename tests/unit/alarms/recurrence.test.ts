import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { acknowledge, reset, shelve, unshelve } from "../../../station/alarms/deeds.js";
import { type AlarmMemory, AT_REST, isActive, type Stepped, step } from "../../../station/alarms/machine.js";
import { isOverForNow } from "../../../station/alarms/recurrence.js";
import type { AlarmDefinition } from "../../../station/model/alarm.js";
import { createRandom } from "../../../station/random.js";
import { definition } from "./given.js";

const HIGH = definition({
  ...{ kind: "coolant-high", setpoint: 22, deadband: 0.2, onDelayS: 5, offDelayS: 10 },
  ...{ latching: false, reAlarmMin: 60 },
});
const MIN = 60;

/** An alarm that is shown a value each second. */
class Watched {
  memory: AlarmMemory = AT_REST;
  s = 0;
  readonly told: string[] = [];

  constructor(readonly alarm: AlarmDefinition = HIGH) {}

  #take({ memory, transition }: Stepped) {
    this.memory = memory;
    if (transition !== null) this.told.push(`${this.s} ${transition.transition}`);
  }

  deed(act: (memory: AlarmMemory) => Stepped) {
    this.#take(act(this.memory));
  }

  /** Until `untilS`; what `valueAt` gives as null is unknown. */
  see(untilS: number, valueAt: (s: number) => number | null, suppressedBy: string | null = null) {
    const { kind, setpoint } = this.alarm;
    for (; this.s < untilS; this.s += 1) {
      const value = valueAt(this.s);
      const isBeyond =
        value !== null && (kind === "coolant-high" ? value > Number(setpoint) : value < Number(setpoint));
      const presence = value === null ? "unknown" : isBeyond ? "present" : "absent";
      const seen = { presence, value, holdMs: 15_000, detail: "seen", suppressedBy } as const;
      this.#take(step(this.memory, this.alarm, seen, { mono: this.s * 1000, wall: this.s * 1000 }));
      // What is off a shelf may be raised at the same moment.
      this.#take(step(this.memory, this.alarm, seen, { mono: this.s * 1000, wall: this.s * 1000 }));
    }
  }

  isOverForNow() {
    return isOverForNow(this.alarm, this.memory.recurrence, this.s * 1000);
  }

  acknowledged() {
    this.deed((memory) => acknowledge(memory, "seen"));
    this.told.pop();
  }
}

/** Two turns of a chiller, the second acknowledged, and water that has been back for half a minute. */
function heldAfterTwoTurns(): Watched {
  const watched = new Watched();
  watched.see(60, () => 22.5);
  watched.see(180, () => 21.5);
  watched.see(240, () => 22.5);
  watched.acknowledged();
  watched.see(270, () => 21.5);
  expect(watched.told).toEqual(["5 raised", "70 returned", "185 raised"]);
  expect([watched.memory.state, watched.isOverForNow()]).toEqual(["acknowledged", true]);
  watched.told.length = 0;
  return watched;
}

describe("an alarm of water that a chiller takes across its setpoint", () => {
  it("is held from its second coming on, until it has been away for ten minutes, and then is as any other", () => {
    const watched = heldAfterTwoTurns();
    watched.see(1200, () => 21.5);
    expect(watched.told).toEqual(["840 returned-to-normal"]);
    watched.see(1260, () => 22.5);
    watched.see(1300, () => 21.5);
    expect(watched.told.slice(1)).toEqual(["1205 raised", "1270 returned"]);
  });

  it("is over for now only as far as is seen", () => {
    const watched = heldAfterTwoTurns();
    watched.see(273, () => 22.5);
    expect(watched.isOverForNow()).toBe(false);
    watched.see(280, () => 21.5);
    expect(watched.isOverForNow()).toBe(true);
    watched.see(283, () => null);
    expect(watched.isOverForNow()).toBe(false);
  });

  it("is held likewise where it is too cold", () => {
    const watched = new Watched(definition({ ...HIGH, kind: "coolant-low", setpoint: 15 }));
    for (const turn of [0, 1, 2, 3]) {
      watched.see(turn * 240 + 60, () => 14.5);
      watched.see(turn * 240 + 240, () => 15.5);
    }
    expect(watched.told).toEqual(["5 raised", "70 returned", "245 raised"]);
  });

  it.each([1, 2, 3, 4, 5, 6, 7, 8])(
    "comes no second time for a probe that flickers at the edge of its deadband, seed %i",
    (seed) => {
      const random = createRandom(seed, 1);
      // Steps of a sixteenth, and a noise of a few hundredths: up to 22.8 and back at 0.15 °C a minute.
      const water = (s: number) => 22.8 - (0.15 * Math.abs(s - 600)) / MIN + 0.1 * (random() - 0.5);
      const watched = new Watched();
      watched.see(1200, (s) => Math.round(water(s) * 16) / 16);
      expect(watched.isOverForNow()).toBe(false);
      expect(watched.told.map((each) => each.split(" ")[1])).toEqual(["raised", "returned"]);
    },
  );

  it("is not raised anew for nothing by a machine that is switched off and on while it is held", () => {
    const watched = heldAfterTwoTurns();
    watched.see(300, () => 21.5, "The machine is off");
    watched.see(1000, () => 21.5);
    expect(watched.told).toEqual(["270 suppressed", "300 unsuppressed"]);
  });

  it("goes on with its on-delay over a machine that is switched off and on, also where it came and went before", () => {
    const watched = heldAfterTwoTurns();
    watched.see(900, () => 21.5);
    watched.see(903, () => 22.5);
    watched.see(905, () => 22.5, "The machine is off");
    watched.see(910, () => 22.5);
    expect(watched.told.slice(1)).toEqual(["903 suppressed", "905 unsuppressed", "905 raised"]);
  });

  it("is raised when it is there as the machine comes on", () => {
    const watched = heldAfterTwoTurns();
    watched.see(300, () => 22.5, "The machine is off");
    watched.see(310, () => 22.5);
    expect(watched.told).toEqual(["270 suppressed", "300 unsuppressed", "300 raised"]);
  });

  it("is not raised for nothing by a shelf that ends while it is held", () => {
    const watched = heldAfterTwoTurns();
    watched.deed((memory) => shelve(memory, 10_000_000, "why"));
    watched.see(400, () => 21.5);
    watched.deed((memory) => unshelve(memory, "why"));
    watched.see(1000, () => 21.5);
    expect(watched.told).toEqual(["270 shelved", "400 unshelved"]);
  });

  it("sounds again where it stays, once somebody has acknowledged it for coming and going", () => {
    const watched = heldAfterTwoTurns();
    watched.see(300, () => 22.5);
    watched.see(360, () => 21.5);
    watched.see(360 + 20 * MIN, () => 23);
    expect(watched.told).toEqual([`${360 + 5 * MIN} re-alarmed`]);
    watched.acknowledged();
    watched.see(360 + 40 * MIN, () => 23);
    expect(watched.told).toHaveLength(1);
  });

  it("sounds again likewise where it stays after it was away for long, however far apart its comings were", () => {
    const watched = new Watched(definition({ ...HIGH, reAlarmMin: null }));
    watched.see(60, () => 22.5);
    watched.see(240, () => 21.5);
    watched.see(600, () => 22.5);
    watched.acknowledged();
    watched.see(1140, () => 21.5);
    watched.see(4000, () => 25);
    expect(watched.told).toEqual(["5 raised", "70 returned", "245 raised", "1440 re-alarmed"]);
  });

  it("takes no odd reading for a going or a coming, whatever the deadband", () => {
    for (const deadband of [0, 0.2, null]) {
      const steady = new Watched(definition({ ...HIGH, deadband, reAlarmMin: null }));
      steady.see(100, () => 23);
      steady.acknowledged();
      steady.see(3000, (s) => (s % 700 === 0 ? 21 : 23));
      expect(steady.told).toEqual(["5 raised"]);
      const over = new Watched(definition({ ...HIGH, deadband }));
      over.see(100, () => 23);
      over.see(200, (s) => (s === 105 ? 23 : 20));
      expect(over.told).toEqual(["5 raised", "116 returned"]);
    }
    const held = heldAfterTwoTurns();
    held.see(3000, (s) => (s % 500 === 0 ? 25 : 20));
    expect(held.told).toEqual(["840 returned-to-normal"]);
  });

  it("is not raised for nothing where it was acknowledged, or its sensor lost, while it is held and the machine goes off", () => {
    const lost = heldAfterTwoTurns();
    lost.see(290, () => null);
    lost.see(3600, () => null, "The machine is off");
    lost.see(4000, () => 20);
    expect(lost.told).toEqual(["290 suppressed", "3600 unsuppressed"]);
    const off = heldAfterTwoTurns();
    off.memory = { ...off.memory, state: "unacknowledged" };
    off.see(290, () => 21.5, "The machine is off");
    off.acknowledged();
    off.see(3600, () => null, "The machine is off");
    off.see(4000, () => 20);
    expect(off.told).toEqual(["290 suppressed", "3600 unsuppressed"]);
  });

  it("is not held where the owner has made it urgent: the machine would not be fit to cut for so long", () => {
    const watched = new Watched(definition({ ...HIGH, priority: "urgent" }));
    watched.see(60, () => 22.5);
    watched.see(180, () => 21.5);
    watched.see(240, () => 22.5);
    watched.see(270, () => 21.5);
    expect(watched.told).toEqual(["5 raised", "70 returned", "185 raised", "250 returned"]);
  });

  it("goes as soon as ever where it had stayed for long before", () => {
    const watched = heldAfterTwoTurns();
    watched.see(3600, () => 22.5);
    watched.see(3700, () => 21.5);
    expect(watched.told).toEqual(["570 re-alarmed", "3610 returned"]);
  });
});

describe("an alarm of the condensation margin", () => {
  const MARGIN = definition({
    ...{ kind: "condensation-risk", setpoint: 2, deadband: 0.5, onDelayS: 30, offDelayS: 30 },
    ...{ latching: true, reAlarmMin: null },
  });

  it("is held from the first time on, also where it was low for long", () => {
    const watched = new Watched(MARGIN);
    watched.see(3600, () => 1.5);
    watched.see(5000, () => 3);
    expect(watched.told).toEqual(["30 raised", "4200 latched"]);
  });

  it("goes and can be reset though a sensor is lost for a moment again and again", () => {
    const watched = new Watched(MARGIN);
    watched.see(60, () => 1.5);
    watched.acknowledged();
    watched.see(3000, (s) => (s % (9 * MIN) < 16 ? null : 3));
    watched.deed((memory) => reset(memory, "seen"));
    // What was not seen is no part of the ten minutes, and does not begin them anew.
    expect(watched.told).toEqual(["30 raised", "676 latched", "3000 reset"]);
  });
});

describe("whatever came before", () => {
  const alarms = [
    HIGH,
    definition({ ...HIGH, latching: true, onDelayS: 30, offDelayS: 30 }),
    definition({ ...HIGH, deadband: null, offDelayS: 0 }),
  ];
  const pieces = fc.array(
    fc.record({
      lengthS: fc.integer({ min: 1, max: 700 }),
      value: fc.constantFrom(25, 22.1, 21.9, 20, null),
      off: fc.boolean(),
      deed: fc.constantFrom("acknowledge", "shelve", "unshelve", null),
    }),
    { maxLength: 8 },
  );
  type Pieces = typeof pieces extends fc.Arbitrary<infer T> ? T : never;
  const lived = (alarm: AlarmDefinition, before: Pieces) => {
    const watched = new Watched(alarm);
    for (const { lengthS, value, off, deed } of before) {
      if (deed === "acknowledge") watched.deed((memory) => acknowledge(memory, "seen"));
      if (deed === "shelve") watched.deed((memory) => shelve(memory, (watched.s + 300) * 1000, "why"));
      if (deed === "unshelve") watched.deed((memory) => unshelve(memory, "why"));
      watched.see(watched.s + lengthS, () => value, off ? "The machine is off" : null);
    }
    return watched;
  };

  it("what is there stands after its on-delay, and what has been away for ten minutes and its off-delay does not", () => {
    fc.assert(
      fc.property(fc.constantFrom(...alarms), pieces, (alarm, before) => {
        const there = lived(alarm, before);
        // Past what may still lie on a shelf.
        there.see(there.s + 330 + alarm.onDelayS, () => 25);
        expect(isActive(there.memory.state)).toBe(true);
        const away = lived(alarm, before);
        away.see(away.s + 602 + alarm.offDelayS, () => 20);
        expect(isActive(away.memory.state)).toBe(false);
      }),
      { numRuns: 100 },
    );
  });
});
