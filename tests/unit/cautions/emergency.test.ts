import { describe, expect, it } from "vitest";
import { createEmergencyRecord } from "../../../station/cautions/emergency.js";
import type { SettingChange } from "../../../station/journal/protocol.js";

const STUCK = new Promise<never>(() => undefined);

function record(lastSetting: () => Promise<{ value: unknown; wall: number } | null>, keeps = true) {
  const changes: SettingChange[] = [];
  const made = createEmergencyRecord({
    clock: { now: () => ({ wall: 1, mono: 1 }) } as never,
    journal: {
      lastSetting,
      settingChanged: async (change) => {
        changes.push(change);
        if (!keeps) throw new Error("the disk did not take it");
      },
    },
    answerWithinMs: 20,
  });
  return { made, changes };
}
const filledIn = async () => ({ value: { fire: "999" }, wall: 1 });

describe("the emergency numbers", () => {
  it("are asked of the journal once, at the start, and answered while the disk hangs", async () => {
    let asked = 0;
    const { made } = record(() => {
      asked += 1;
      return asked === 1 ? filledIn() : STUCK;
    });
    expect(asked).toBe(1);
    expect(await made.facts()).toEqual({ fire: "999" });
    expect([await made.facts(), asked]).toEqual([{ fire: "999" }, 1]);
  });

  it("are said not to be known yet, and not to be none, where the disk has not answered", async () => {
    const { made } = record(() => STUCK);
    await expect(made.facts()).rejects.toMatchObject({ code: "emergency-unknown" });
  });

  it("are those that were filled in, however late the journal tells what they were", async () => {
    let tell: (kept: { value: unknown; wall: number }) => void = () => undefined;
    const { made, changes } = record(() => new Promise((resolve) => (tell = resolve)));
    expect(await made.put({ fire: "112" }, "wall")).toEqual({ value: { fire: "112" }, kept: false });
    expect(await made.facts()).toEqual({ fire: "112" });
    tell({ value: { fire: "999" }, wall: 1 });
    await expect
      .poll(() => changes)
      .toMatchObject([{ old: { fire: "999" }, new: { fire: "112" }, by: "wall" }]);
    expect(await made.facts()).toEqual({ fire: "112" });
  });

  it("keep with each change what they were before it, and go back where the disk refuses it", async () => {
    const { made, changes } = record(filledIn);
    await made.put({ fire: "112" }, null);
    await made.put({ fire: "112", poison: "1" }, null);
    expect(changes.map(({ old }) => old)).toEqual([{ fire: "999" }, { fire: "112" }]);
    const refusing = record(filledIn, false).made;
    await expect(refusing.put({ fire: "1" }, null)).rejects.toThrow("did not take it");
    expect(await refusing.facts()).toEqual({ fire: "999" });
  });

  it("are asked for again where the journal could not tell", async () => {
    let asked = 0;
    const { made } = record(async () => {
      asked += 1;
      if (asked === 1) throw new Error("a page is damaged");
      return filledIn();
    });
    await expect(made.facts()).rejects.toMatchObject({ code: "emergency-unknown" });
    expect(await made.facts()).toEqual({ fire: "999" });
  });
});
