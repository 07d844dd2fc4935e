import { describe, expect, it } from "vitest";
import { defineAlarms } from "../../../station/alarms/entry.js";
import type { FireWatchView, RunOnView } from "../../../station/model/after-cut.js";
import { channel, NOTHING_CUT, observed, picture, RANGE } from "./given.js";

const channels = [
  channel("in", "coolant-inlet"),
  channel("room", "room-temperature"),
  channel("rh", "room-humidity"),
  channel("lid", "lid-open"),
];
const definitions = defineAlarms({}, { channels, coolantRange: RANGE });
const of = (alarm: string, ...pictures: ReturnType<typeof picture>[]) =>
  observed(definitions, alarm, pictures);

describe("a machine that was not cleared", () => {
  const see = (runOn: Partial<RunOnView>, lidOpen: boolean | null = false) =>
    of(
      "run-on-cut-short",
      picture(0, { lidOpen, afterCut: { ...NOTHING_CUT, runOn: { ...NOTHING_CUT.runOn, ...runOn } } }),
    ).presence;

  it.each([
    ["the fan stopped early", { state: "cut-short", leftS: 80 }, false, "present"],
    ["the lid stands open while it clears", { state: "clearing", leftS: 80 }, true, "present"],
    ["it clears with the lid closed", { state: "clearing", leftS: 80 }, false, "absent"],
    [
      "the lid was open, and is closed again",
      { state: "clearing", leftS: 80, early: "The lid was opened" },
      false,
      "absent",
    ],
    ["it is clear, and the lid opened", { state: "clear", leftS: 0 }, true, "absent"],
    ["nothing was cut", {}, true, "absent"],
  ] as const)("%s", (_, runOn, lidOpen, presence) => {
    expect(see(runOn, lidOpen)).toBe(presence);
  });
});

describe("a look of the fire watch", () => {
  const watching: FireWatchView = {
    ...NOTHING_CUT.fireWatch,
    state: "watching",
    leftS: 900,
    text: "Look at the bed and the tray now: MDF can smoulder unseen.",
  };
  const present = (fireWatch: Partial<FireWatchView>) =>
    (["fire-watch-due", "fire-watch-late", "fire-watch-missed"] as const).filter(
      (alarm) =>
        of(alarm, picture(0, { afterCut: { ...NOTHING_CUT, fireWatch: { ...watching, ...fireWatch } } }))
          .presence === "present",
    );

  it.each([
    ["is not due yet", { lookInS: 30 }, []],
    ["is due", { lookInS: -10 }, ["fire-watch-due"]],
    ["is two minutes late", { lookInS: -120 }, ["fire-watch-due", "fire-watch-late"]],
    ["is missed", { lookInS: -400 }, ["fire-watch-due", "fire-watch-late", "fire-watch-missed"]],
    ["is not asked for while cutting", { lookInS: -400, state: "cutting" }, []],
    ["is not asked for without a watch", { lookInS: 0, state: "none" }, []],
  ] as const)("%s", (_, fireWatch, alarms) => {
    expect(present(fireWatch)).toEqual(alarms);
  });

  it("grows from medium to urgent", () => {
    const priorities = definitions
      .filter(({ kind }) => kind.startsWith("fire-"))
      .map(({ priority }) => priority);
    expect(priorities).toEqual(["medium", "high", "urgent"]);
  });
});

describe("condensation that is coming", () => {
  const ahead = { slopePerHour: -3, closesInMin: 21.4, soonestMin: 18, latestMin: 25, probability: 0.97 };
  const see = (changes: Parameters<typeof picture>[1]) => of("condensation-coming", picture(0, changes));

  it("is present while the margin is there, and will hardly be in half an hour", () => {
    expect(see({ margin: { value: 4, quality: "good" }, marginAhead: ahead })).toMatchObject({
      presence: "present",
      detail: "The condensation margin is 4.0 °C and reaches 2 °C in about 21 min",
    });
  });

  it.each([
    [
      "it may not",
      { margin: { value: 4, quality: "good" }, marginAhead: { ...ahead, probability: 0.6 } },
      "absent",
    ],
    [
      "it has closed, which is another alarm",
      { margin: { value: 1, quality: "good" }, marginAhead: ahead },
      "absent",
    ],
    ["it cannot be told", { marginAhead: null }, "unknown"],
    ["a sensor is silent", { margin: { value: null, quality: "bad" }, marginAhead: ahead }, "unknown"],
  ] as const)("is silent where %s", (_, changes, presence) => {
    expect(see(changes).presence).toBe(presence);
  });
});
