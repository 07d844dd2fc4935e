import { describe, expect, it } from "vitest";
import type { LiveChannel } from "../../station/model/now.js";
import { type OccupationPart, occupationOf } from "../../station/occupation.js";

const channel = (
  kind: LiveChannel["kind"],
  value: number | null,
  quality: LiveChannel["quality"] = "good",
) => {
  const known = {
    id: kind,
    name: kind,
    kind,
    unit: "state",
    decimals: 0,
    simulated: false,
    staleAfterMs: 3000,
  };
  return { ...known, value, quality, reason: null, reasonText: null, ageMs: 10 } as LiveChannel;
};

function part(change: {
  simulated?: boolean;
  run?: { number: number };
  runOn?: string;
  fireWatch?: string;
  channels?: LiveChannel[];
}): OccupationPart {
  return {
    simulated: change.simulated ?? false,
    run: (change.run ?? null) as OccupationPart["run"],
    afterCut: {
      runOn: { state: change.runOn ?? "clear", text: "The extraction." },
      fireWatch: { state: change.fireWatch ?? "none", text: "The watch." },
    } as OccupationPart["afterCut"],
    channels: change.channels ?? [channel("machine-on", 0), channel("laser-on", 0)],
  };
}

describe("whether the station may be stopped", () => {
  it.each([
    ["nothing goes on and the machine is off", {}, "idle"],
    ["a run is open", { run: { number: 7 } }, "busy"],
    ["the machine is on", { channels: [channel("machine-on", 1)] }, "busy"],
    [
      "the beam is on, whatever the machine says",
      { channels: [channel("machine-on", 0), channel("laser-on", 1)] },
      "busy",
    ],
    ["the extraction clears the machine", { runOn: "clearing" }, "busy"],
    ["a watch for fire goes on", { fireWatch: "watching" }, "busy"],
    ["the run-on was cut short and nothing more comes of it", { runOn: "cut-short" }, "idle"],
    ["no channel tells of the machine", { channels: [channel("laser-on", 0)] }, "unknown"],
    [
      "the channel of the machine has no value",
      { channels: [channel("machine-on", null, "bad")] },
      "unknown",
    ],
    [
      "the channel of the machine is doubtful",
      { channels: [channel("machine-on", 0, "uncertain")] },
      "unknown",
    ],
    [
      "the beam is not known",
      { channels: [channel("machine-on", 0), channel("laser-on", null, "bad")] },
      "unknown",
    ],
    ["all of it is simulated", { simulated: true, run: { number: 7 } }, "idle"],
  ])("where %s", (_words, change, state) => {
    expect(occupationOf(part(change)).state).toBe(state);
  });

  it("says which", () => {
    expect(occupationOf(part({ run: { number: 7 } })).text).toBe("Run 7 is open.");
    expect(occupationOf(part({ channels: [] })).text).toBe("No channel tells whether the machine is off.");
  });
});
