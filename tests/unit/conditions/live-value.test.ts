import { describe, expect, it } from "vitest";
import { liveValue } from "../../../station/conditions/live-value.js";

const at = { wall: 1_750_000_000_000, mono: 10_000 };

describe("liveValue", () => {
  it("carries the age and no reason when good", () => {
    expect(liveValue({ at, value: 20.1, quality: "good", reason: null }, 12_500)).toEqual({
      value: 20.1,
      quality: "good",
      reason: null,
      reasonText: null,
      ageMs: 2500,
    });
  });

  it("says in words why it is not good", () => {
    expect(liveValue({ at, value: null, quality: "bad", reason: "unplugged" }, 11_000)).toMatchObject({
      value: null,
      reasonText: "it was unplugged",
      ageMs: 1000,
    });
    expect(
      liveValue({ at, value: 61, quality: "uncertain", reason: "beyond-calibration" }, 10_000),
    ).toMatchObject({
      value: 61,
      reasonText: "it is beyond the calibrated points",
      ageMs: 0,
    });
  });

  it.each([
    ["nothing at all", null],
    ["the word of the board", { at, value: null, quality: "bad", reason: "never-read" } as const],
  ])("has no age before anything was read: %s", (_, judged) => {
    expect(liveValue(judged, 20_000)).toEqual({
      value: null,
      quality: "bad",
      reason: "never-read",
      reasonText: "nothing has been read yet",
      ageMs: null,
    });
  });

  it("is never of the future", () => {
    expect(liveValue({ at, value: 1, quality: "good", reason: null }, 9_000).ageMs).toBe(0);
  });
});
