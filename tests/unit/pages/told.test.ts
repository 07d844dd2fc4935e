import { describe, expect, it } from "vitest";
import type { StandingAlarm } from "../../../station/model/alarm.js";
import { toldOf } from "../../../ui/src/voice/told.js";

function alarm(over: Partial<StandingAlarm> = {}): StandingAlarm {
  return {
    ...{ alarm: "coolant-high", kind: "coolant-high", title: "Coolant is too warm", priority: "high" },
    ...{ state: "unacknowledged", raisedWall: 1000, detail: "Coolant 22.4 °C, setpoint 22 °C." },
    ...{ consequence: "Less power.", action: "Pause the job.", setpoint: 22, unit: "°C" },
    ...over,
  } as StandingAlarm;
}
const NEW = {
  atOnce: true,
  words: "High alarm: Coolant is too warm. Coolant 22.4 °C, setpoint 22 °C. Pause the job.",
};

describe("what a screen reader is told of alarms", () => {
  it("is a new alarm at once: its priority, its title, what was seen and what to do", () => {
    expect(toldOf([], [alarm()])).toEqual([NEW]);
  });

  it("is nothing while it stands, whatever its value", () => {
    expect(toldOf([alarm()], [alarm({ detail: "Coolant 23.0 °C, setpoint 22 °C." })])).toEqual([]);
    const answered = alarm({ state: "acknowledged" });
    expect(toldOf([answered], [answered])).toEqual([]);
  });

  it("is the same alarm anew where it has come again meanwhile, or was answered and rises again", () => {
    expect(toldOf([alarm()], [alarm({ raisedWall: 2000 })])).toEqual([NEW]);
    for (const state of ["acknowledged", "returned-unacknowledged"] as const)
      expect(toldOf([alarm({ state })], [alarm()])).toEqual([NEW]);
  });

  it("is without haste that it was acknowledged, went by itself, or stands no longer", () => {
    const told = (words: string) => [{ atOnce: false, words }];
    expect(toldOf([alarm()], [alarm({ state: "acknowledged" })])).toEqual(
      told("Acknowledged: Coolant is too warm."),
    );
    expect(toldOf([alarm()], [alarm({ state: "returned-unacknowledged" })])).toEqual(
      told("Gone again, not acknowledged: Coolant is too warm."),
    );
    for (const state of ["unacknowledged", "acknowledged", "returned-unacknowledged"] as const)
      expect(toldOf([alarm({ state })], [])).toEqual(told("No longer standing: Coolant is too warm."));
  });

  it("has the new alarms before all else, as many as there are", () => {
    const other = alarm({ alarm: "extraction-stopped", title: "Extraction has stopped", priority: "urgent" });
    const third = alarm({ alarm: "backup-old", title: "Backup is old", priority: "low" });
    const told = toldOf([third], [other, alarm()]);
    expect(told.map(({ atOnce }) => atOnce)).toEqual([true, true, false]);
    expect(told[0]?.words).toMatch(/^Urgent alarm: Extraction has stopped\. /);
  });

  it("is not what an opened page finds answered or gone", () => {
    for (const state of ["acknowledged", "returned-unacknowledged"] as const)
      expect(toldOf([], [alarm({ state })])).toEqual([]);
  });
});
