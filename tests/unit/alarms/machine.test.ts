import { describe, expect, it } from "vitest";
import { isBeyond } from "../../../station/alarms/compare.js";
import { acknowledge } from "../../../station/alarms/deeds.js";
import {
  type AlarmMemory,
  AT_REST,
  type Observation,
  settled,
  step,
} from "../../../station/alarms/machine.js";
import { at, definition } from "./given.js";

const alarm = definition();
const sees = (value: number): Observation => ({
  presence: isBeyond("high", value, 22) ? "present" : "absent",
  value,
  detail: `${value} °C`,
  holdMs: 10_000,
});
const BLIND: Observation = { presence: "unknown", value: null, detail: "not known", holdMs: 10_000 };

/** Steps through [seconds, observation] pairs and returns the last memory and the changes with their second. */
function walk(steps: readonly (readonly [number, Observation])[], from: AlarmMemory = AT_REST) {
  let memory = from;
  const changes: string[] = [];
  for (const [seconds, observation] of steps) {
    const stepped = step(memory, alarm, observation, at(seconds));
    memory = stepped.memory;
    if (stepped.transition !== null) changes.push(`${seconds}: ${stepped.transition.transition}`);
  }
  return { memory, changes };
}

const inState = settled;

describe("an alarm", () => {
  it("is raised once its condition has stood for the on-delay, and not before", () => {
    const { memory, changes } = walk([
      [0, sees(23)],
      [4.999, sees(23)],
      [5, sees(23)],
      [6, sees(23)],
    ]);
    expect(changes).toEqual(["5: raised"]);
    expect(memory.state).toBe("unacknowledged");
  });

  it("leaves its memory as it is at a step that changes nothing of it", () => {
    const { memory } = walk([[0, sees(20)]]);
    expect(walk([[1, sees(21)]], memory).memory).toBe(memory);
    const standing = walk(
      [
        [2, sees(23)],
        [10, sees(23)],
      ],
      memory,
    ).memory;
    expect(walk([[11, sees(24)]], standing).memory).toBe(standing);
  });

  it("starts its on-delay again after one value back at the setpoint", () => {
    expect(
      walk([
        [0, sees(23)],
        [4, sees(22)],
        [5, sees(23)],
        [9, sees(23)],
        [10, sees(23)],
      ]).changes,
    ).toEqual(["10: raised"]);
  });

  it("returns only past the deadband, for the off-delay", () => {
    const { memory, changes } = walk(
      [
        [0, sees(21.9)],
        [20, sees(21.9)],
        [21, sees(21.8)],
        [30.9, sees(21.8)],
        [31, sees(21.7)],
      ],
      inState("unacknowledged"),
    );
    expect(changes).toEqual(["31: returned"]);
    expect(memory.state).toBe("returned-unacknowledged");
  });

  it("starts its off-delay again after one value inside the deadband", () => {
    const steps = [
      [0, sees(21)],
      [9, sees(21.9)],
      [10, sees(21)],
      [19, sees(21)],
      [20, sees(21)],
    ] as const;
    expect(walk(steps, inState("acknowledged")).changes).toEqual(["20: returned-to-normal"]);
  });

  it("goes from acknowledged to normal, and from returned back to unacknowledged", () => {
    expect(
      walk(
        [
          [0, sees(21)],
          [10, sees(21)],
        ],
        inState("acknowledged"),
      ).memory.state,
    ).toBe("normal");
    const again = walk(
      [
        [0, sees(23)],
        [5, sees(23)],
      ],
      inState("returned-unacknowledged"),
    );
    expect(again.memory.state).toBe("unacknowledged");
    expect(again.changes).toEqual(["5: raised"]);
  });

  it("stands while its sensor is dead, and counts its off-delay anew afterwards", () => {
    const steps = [
      [0, sees(21)],
      [9, BLIND],
      [500, BLIND],
      [501, sees(21)],
      [510, sees(21)],
      [511, sees(21)],
    ] as const;
    expect(walk(steps, inState("acknowledged")).changes).toEqual(["511: returned-to-normal"]);
  });

  it("is not raised by two glimpses with a dead sensor between them", () => {
    expect(
      walk([
        [0, sees(23)],
        [1, BLIND],
        [600, sees(23)],
      ]).changes,
    ).toEqual([]);
  });

  it("goes on with its on-delay while a short unknown lasts, and rises only where it is seen", () => {
    const steps = [
      [0, sees(23)],
      [2, BLIND],
      [4, sees(23)],
      [4.5, BLIND],
      [7, BLIND],
      [8, sees(23)],
    ] as const;
    expect(walk(steps).changes).toEqual(["8: raised"]);
  });

  it("starts its on-delay again after an unknown as long as the hold, and not after a shorter one", () => {
    const risesWhenBackAt = (back: number, ...then: number[]) =>
      walk([[0, sees(23)], [1, BLIND], ...[back, ...then].map((s) => [s, sees(23)] as const)]).changes;
    expect(risesWhenBackAt(10.999)).toEqual(["10.999: raised"]);
    expect(risesWhenBackAt(11, 15.999, 16)).toEqual(["16: raised"]);
  });

  it("gives up an on-delay while the unknown still lasts, once that is as long as the hold", () => {
    const steps = [
      [0, sees(23)],
      [1, BLIND],
      [11, BLIND],
    ] as const;
    expect(walk(steps).memory).toEqual({ ...settled("normal"), chatter: expect.anything() });
  });

  it("is not raised by a value that is back at the setpoint after the unknown", () => {
    const steps = [
      [0, sees(23)],
      [2, BLIND],
      [6, sees(21)],
      [8, sees(23)],
      [12.9, sees(23)],
    ] as const;
    expect(walk(steps).changes).toEqual([]);
  });

  it("keeps what its off-delay has counted while a short unknown lasts, and counts none of that", () => {
    const steps = [
      [0, sees(21)],
      [4, BLIND],
      [9, sees(21)],
      [14.999, sees(21)],
      [15, sees(21)],
    ] as const;
    expect(walk(steps, inState("acknowledged")).changes).toEqual(["15: returned-to-normal"]);
  });

  it("with no hold starts again after every unknown", () => {
    const without = (observation: Observation): Observation => ({ ...observation, holdMs: 0 });
    const steps = [
      [0, without(sees(23))],
      [2, without(BLIND)],
      [2, without(sees(23))],
      [6.999, without(sees(23))],
      [7, without(sees(23))],
    ] as const;
    expect(walk(steps).changes).toEqual(["7: raised"]);
  });

  it("takes a value that is not a number for unknown", () => {
    const broken: Observation = { presence: "absent", value: Number.NaN, detail: "", holdMs: 0 };
    expect(
      walk(
        [
          [0, broken],
          [100, broken],
        ],
        inState("unacknowledged"),
      ).memory.state,
    ).toBe("unacknowledged");
  });

  it("makes nothing early of a step that lies before the last one", () => {
    expect(
      walk([
        [10, sees(23)],
        [9, sees(23)],
        [14.9, sees(23)],
        [15, sees(23)],
      ]).changes,
    ).toEqual(["15: raised"]);
  });

  it("makes nothing early of a sight that lies before the unknown it ends", () => {
    const steps = [
      [0, sees(21)],
      [4, BLIND],
      [3.9, sees(21)],
      [9.95, sees(21)],
      [10, sees(21)],
    ] as const;
    expect(walk(steps, inState("acknowledged")).changes).toEqual(["10: returned-to-normal"]);
  });

  it("rises at the first sight with an on-delay of 0", () => {
    const stepped = step(AT_REST, definition({ onDelayS: 0 }), sees(23), at(0));
    expect(stepped.transition).toEqual({
      transition: "raised",
      from: "normal",
      to: "unacknowledged",
      detail: "23 °C",
    });
  });
});

describe("acknowledging", () => {
  it.each([
    ["unacknowledged", "acknowledged"],
    ["returned-unacknowledged", "normal"],
  ] as const)("takes %s to %s", (from, to) => {
    const { memory, transition } = acknowledge(inState(from), "seen");
    expect(memory.state).toBe(to);
    expect(transition).toEqual({ transition: "acknowledged", from, to, detail: "seen" });
  });

  it.each(["normal", "acknowledged"] as const)("changes nothing in %s", (state) => {
    const memory = inState(state);
    expect(acknowledge(memory, "seen")).toEqual({ memory, transition: null });
  });

  it("does not hold up a return that is under way", () => {
    const half = step(inState("unacknowledged"), alarm, sees(21), at(0)).memory;
    const { memory } = acknowledge(half, "seen");
    expect(step(memory, alarm, sees(21), at(10)).transition?.transition).toBe("returned-to-normal");
  });

  it("during a short unknown leaves the return under way as it was", () => {
    const half = walk(
      [
        [0, sees(21)],
        [4, BLIND],
      ],
      inState("unacknowledged"),
    ).memory;
    const { memory } = acknowledge(half, "seen");
    const steps = [
      [6, sees(21)],
      [11.9, sees(21)],
      [12, sees(21)],
    ] as const;
    expect(walk(steps, memory).changes).toEqual(["12: returned-to-normal"]);
  });
});
