import { describe, expect, it } from "vitest";
import type { Bucket } from "../../../station/model/now.js";
import { panelsOf } from "../../../ui/src/history/panels.js";
import { bucketAt, readOff } from "../../../ui/src/history/reading-off.js";

const bucket = (t: number, mean: number | null, min = mean, max = mean): Bucket => ({ t, min, mean, max });
const trace = (...buckets: Bucket[]) => ({ buckets, staleAfterMs: 2500 });

describe("reading off", () => {
  const some = trace(bucket(0, 20, 19, 21), bucket(1000, null), bucket(2000, null), bucket(3000, 25));

  it("takes the bucket in which the moment lies, both ends of it", () => {
    expect(bucketAt(some, 0)?.mean).toBe(20);
    expect(bucketAt(some, 999)?.mean).toBe(20);
    expect(bucketAt(some, 3999)?.mean).toBe(25);
  });

  it("holds the value before over an empty bucket, no longer than it holds anywhere", () => {
    expect(bucketAt(some, 2999)?.mean).toBe(20);
    expect(bucketAt(trace(bucket(0, 20), bucket(1000, null)), 3500)?.mean).toBe(20);
    expect(bucketAt(trace(bucket(0, 20), bucket(1000, null)), 3501)).toBeNull();
    expect(bucketAt(some, 7000)).toBeNull();
  });

  it("has nothing before the first, and nothing of nothing", () => {
    expect(bucketAt(some, -1)).toBeNull();
    expect(bucketAt(trace(), 0)).toBeNull();
    expect(bucketAt(trace(bucket(0, null), bucket(1000, 3)), 500)).toBeNull();
  });

  it("tells the mean, with least and greatest where they differ to the eye", () => {
    const [cel, lid] = panelsOf([
      { id: "in", name: "In", kind: "coolant-inlet", unit: "Cel", decimals: 4, staleAfterMs: 10_000 },
      { id: "lid", name: "Lid", kind: "lid-open", unit: "state", decimals: 0, staleAfterMs: 10_000 },
    ]);
    if (cel === undefined || lid === undefined) throw new Error("two panels");
    const words = (panel: typeof cel, of: ReturnType<typeof trace>) =>
      readOff(panel, 0, of, 500).replaceAll("\u00a0", " ");
    expect(words(cel, some)).toBe("20.0 °C (19.0 to 21.0 °C)");
    expect(words(cel, trace(bucket(0, 18.31, 18.3, 18.32), bucket(1000, 1)))).toBe("18.3 °C");
    expect(words(cel, trace(bucket(0, null), bucket(1000, 1)))).toBe("no reading");
    expect(words(lid, trace(bucket(0, 1), bucket(1000, 1)))).toBe("open");
    expect(words(lid, trace(bucket(0, 0.5, 0, 1), bucket(1000, 1)))).toBe("closed and open");
  });
});
