import { expect, it } from "vitest";
import { createRecentLine } from "../../../station/conditions/recent-line.js";
import type { Reading } from "../../../station/model/reading.js";

const HOUR = 3_600_000;
const coolant = (mono: number, wall: number, value: number | null): Reading => ({
  channel: "coolant",
  at: { mono, wall },
  value,
  quality: value === null ? "bad" : "good",
  reason: value === null ? "crc-failed" : null,
});

it("keeps all of its span when the clock is set, and shows it at the times that are right now", () => {
  const line = createRecentLine({ bucketMs: 1000, spanMs: 4000 });
  for (const [i, ahead] of [0, 0, HOUR, -HOUR].entries()) {
    const mono = 10_000 + 1000 * i;
    line.take(coolant(mono, mono + ahead, i));
    line.take(coolant(mono + 10, mono + 10 + ahead, i + 0.5));
    line.take(coolant(mono + 20, mono + 20 + ahead, null));
  }
  const shown = line.all(13_500, 5 * HOUR);
  expect(shown.map(({ t, min, mean, max }) => [t - 5 * HOUR, min, mean, max])).toEqual([
    [9000, null, null, null],
    [10_000, 0, 0.25, 0.5],
    [11_000, 1, 1.25, 1.5],
    [12_000, 2, 2.25, 2.5],
    [13_000, 3, 3.25, 3.5],
  ]);
  expect(line.newest(13_500, 5 * HOUR)).toEqual(shown.slice(-2));
  expect(line.all(17_500, 0).filter(({ min }) => min !== null)).toMatchObject([{ t: 13_000 }]);
});
