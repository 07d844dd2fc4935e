import { describe, expect, it } from "vitest";
import { isBeyond } from "../../../station/alarms/compare.js";
import {
  type AlarmMemory,
  AT_REST,
  acknowledge,
  type Observation,
  step,
} from "../../../station/alarms/machine.js";
import { at, definition } from "./given.js";

const alarm = definition();
const sees = (value: number): Observation => ({
  presence: isBeyond("high", value, 22) ? "present" : "absent",
  value,
  detail: `${value} °C`,
});
const BLIND: Observation = { presence: "unknown", value: null, detail: "not known" };

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

const inState = (state: AlarmMemory["state"]): AlarmMemory => ({ state, pendingSince: null });

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

  it("takes a value that is not a number for unknown", () => {
    const broken: Observation = { presence: "absent", value: Number.NaN, detail: "" };
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
});
