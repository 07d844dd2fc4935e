import { describe, expect, it } from "vitest";
import { createCommitClock, isSlow } from "../../../../station/journal/disk/commit-times.js";

describe("the times of commits", () => {
  it("are known of the last ten minutes", () => {
    const clock = createCommitClock();
    expect(clock.recent(0)).toBeNull();
    for (const [i, ms] of [10, 30, 20, 5000].entries()) clock.add(i * 1000, ms);
    expect(clock.recent(3000)).toEqual({ medianMs: 30, longestMs: 5000, slow: 1, commits: 4 });
    expect(clock.recent(602_500)).toEqual({ medianMs: 5000, longestMs: 5000, slow: 1, commits: 1 });
    expect(clock.recent(603_001)).toBeNull();
  });

  it("are slow with the third that takes more than a second, and no more when it is long past", () => {
    const clock = createCommitClock();
    for (const at of [0, 60_000]) clock.add(at, 1001);
    clock.add(61_000, 1000);
    expect(isSlow(clock.recent(61_000))).toBe(false);
    clock.add(62_000, 1500);
    expect(isSlow(clock.recent(62_000))).toBe(true);
    expect(isSlow(clock.recent(600_001))).toBe(false);
    expect(isSlow(null)).toBe(false);
  });
});
