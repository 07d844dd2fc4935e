import { describe, expect, it } from "vitest";
import { createAlarmDesk } from "../../../station/alarms/desk.js";
import { defineAlarms } from "../../../station/alarms/entry.js";
import { hold, inlet, newDesk, room, scene, words } from "./desk-scenes.js";
import { at, channel, good, picture, RANGE } from "./given.js";

const by = "phone";
const deed = (alarm: string, seconds: number) => ({ alarm, by, now: at(seconds), run: null });

describe("what comes again within ten minutes", () => {
  it("is one alarm, where a damp spell closes the margin and the chiller opens it again on each of its turns", () => {
    const damp = channel("damp", "room-humidity");
    const desk = createAlarmDesk(defineAlarms({}, { channels: [inlet, room, damp], coolantRange: RANGE }), {
      startId: "s",
    });
    const channels = (s: number) => [good(inlet, 18, s), good(room, 21, s), good(damp, 69, s)];
    // The chiller's turns take three minutes, and the air takes two hours to become as dry again as it was.
    const marginAt = (s: number) =>
      2.4 - Math.sin((Math.PI * s) / 7200) + 0.5 * Math.sin((2 * Math.PI * s) / 180);
    const told = [];
    for (let s = 0; s < 10_800; s += 1) {
      const margin = { value: marginAt(s), quality: "good" } as const;
      told.push(...desk.update(picture(s, { channels: channels(s), margin })));
      // A person looks at once, and lets the latch go as soon as that is possible.
      for (const { alarm, state } of desk.standing()) {
        if (state === "unacknowledged") told.push(desk.acknowledge(alarm, by, at(s), null));
        if (state === "latched-acknowledged") told.push(desk.reset(deed(alarm, s)));
      }
    }
    // It sounds again every so often, as what stands does.
    const changes = told.map(({ transition }) => transition).filter((each) => each !== "acknowledged");
    expect(changes.filter((each) => each !== "re-alarmed")).toEqual(["raised", "latched", "reset"]);
  });

  it("is held, where it goes with the water: what its chiller takes across the end of its range every four minutes is two alarms and not fifteen", () => {
    const desk = newDesk();
    const told = [];
    const swing = (s: number) => 21.8 + 0.5 * Math.sin((2 * Math.PI * s) / 240);
    for (let s = 0; s < 3600; s += 1) told.push(...desk.update(scene(s, swing(s), 1)));
    const high = words(told).filter((word) => word.includes("coolant-high"));
    expect(high).toEqual([
      ...["21 coolant-high raised", "130 coolant-high returned", "261 coolant-high raised"],
    ]);
    // It has been away since it was past its deadband at 3480 s: ten minutes from then.
    expect(desk.standing()[0]).toMatchObject({ state: "unacknowledged", recurring: true });
    const after = words(hold(desk, 3600, 4100, 21, 1));
    expect(after).toEqual(["4080 coolant-high returned"]);
    expect(desk.standing()[0]).toMatchObject({ state: "returned-unacknowledged", recurring: false });
    // One that comes again much later is gone as soon as ever.
    expect(words([...hold(desk, 4700, 4710, 23, 1), ...hold(desk, 4711, 4730, 21, 1)])).toEqual([
      ...["4705 coolant-high raised", "4721 coolant-high returned"],
    ]);
  });

  it("is an alarm each time, where it is a contact, and over as soon as that is good", () => {
    const desk = newDesk();
    const told = [
      ...[...hold(desk, 0, 5, 20, 0), ...hold(desk, 6, 300, 20, 1)],
      ...[...hold(desk, 301, 306, 20, 0), ...hold(desk, 307, 600, 20, 1)],
    ];
    expect(words(told)).toEqual([
      ...["2 coolant-flow-lost raised", "21 coolant-flow-lost returned"],
      ...["303 coolant-flow-lost raised", "322 coolant-flow-lost returned"],
    ]);
  });
});
