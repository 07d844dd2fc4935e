import { describe, expect, it } from "vitest";
import { defineAlarms } from "../../../station/alarms/entry.js";
import type { SoundnessView } from "../../../station/model/soundness.js";
import { observed, picture, RANGE } from "./given.js";

const definitions = defineAlarms({}, { channels: [], coolantRange: RANGE });

function seen(state: SoundnessView["state"]) {
  const soundness = { state, lookedWall: null, text: "words of the look.", doubt: null };
  return ["journal-damaged", "charts-damaged"].map((alarm) =>
    observed(definitions, alarm, [picture(0, { soundness })]),
  );
}

describe("the alarms of a journal that is not sound", () => {
  it.each<[SoundnessView["state"], string[]]>([
    ["damaged", ["present", "absent"]],
    ["rollups", ["absent", "present"]],
    ["sound", ["absent", "absent"]],
    ["looking", ["unknown", "unknown"]],
    ["unknown", ["unknown", "unknown"]],
  ])("go by the last look (%s)", (state, presences) => {
    expect(seen(state).map(({ presence }) => presence)).toEqual(presences);
    expect(seen(state)[0]?.detail).toBe("words of the look");
  });

  it("are more serious where readings are lost than where charts can be made anew", () => {
    const of = (alarm: string) => definitions.find(({ id }) => id === alarm)?.priority;
    expect(["journal-damaged", "charts-damaged"].map(of)).toEqual(["medium", "low"]);
  });
});
