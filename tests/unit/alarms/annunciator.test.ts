import { describe, expect, it } from "vitest";
import { annunciation, type OutputPin } from "../../../station/alarms/annunciator.js";

const desk = (wanted: boolean) => ({
  annunciation: () => (wanted ? ("urgent" as const) : null),
  pinWanted: () => wanted,
});

function fakePin() {
  const pin = {
    written: [] as boolean[],
    broken: false,
    throws: false,
    now: "inactive" as ReturnType<OutputPin["state"]>,
    set(active: boolean) {
      pin.written.push(active);
      if (pin.throws) throw new Error("EIO");
      pin.now = pin.broken ? "faulty" : active ? "active" : "inactive";
    },
    state: () => pin.now,
  };
  return pin;
}

describe("the annunciator", () => {
  it("says that no output is fitted", () => {
    expect(annunciation(desk(true), null)).toEqual({ sound: "urgent", outputPin: "not-fitted" });
  });

  it("writes the pin only when it is to change", () => {
    const pin = fakePin();
    for (const wanted of [false, true, true, false, false]) annunciation(desk(wanted), pin);
    expect(pin.written).toEqual([true, false]);
    expect(annunciation(desk(true), pin)).toEqual({ sound: "urgent", outputPin: "active" });
  });

  it("tries again at each call while the pin is faulty, and says so", () => {
    const pin = fakePin();
    pin.broken = true;
    expect(annunciation(desk(true), pin).outputPin).toBe("faulty");
    expect(annunciation(desk(true), pin).outputPin).toBe("faulty");
    pin.broken = false;
    expect(annunciation(desk(true), pin).outputPin).toBe("active");
    expect(pin.written).toEqual([true, true, true]);
  });

  it("goes on sounding on the screen when writing the pin throws", () => {
    const pin = fakePin();
    pin.throws = true;
    expect(annunciation(desk(true), pin)).toEqual({ sound: "urgent", outputPin: "faulty" });
    pin.throws = false;
    expect(annunciation(desk(true), pin).outputPin).toBe("active");
  });

  it("takes back a request that is still on its way", () => {
    const pending: boolean[] = [];
    let now: ReturnType<OutputPin["state"]> = "inactive";
    const slow: OutputPin = { set: (active) => void pending.push(active), state: () => now };
    annunciation(desk(true), slow);
    annunciation(desk(false), slow);
    for (const active of pending) now = active ? "active" : "inactive";
    expect(pending).toEqual([true, false]);
    expect(annunciation(desk(false), slow).outputPin).toBe("inactive");
    expect(pending).toHaveLength(2);
  });
});
