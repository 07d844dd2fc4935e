import { expect, it } from "vitest";
import { createDeriver } from "../../station/conditions/deriver.js";
import { createOutlook } from "../../station/conditions/outlook.js";
import type { ReplayRequest } from "../../station/journal/reader-calls.js";
import type { Reading } from "../../station/model/reading.js";
import { readingsBefore } from "../../station/recall-readings.js";
import { channelsOf, good } from "./conditions/stock-channels.js";

const definitions = channelsOf("coolant", "room-t", "room-rh", "fan", "laser");
const MINUTE = 60_000;
/** From so many minutes before the moment until it. */
const past: Reading[] = [];
for (let mono = -90 * MINUTE; mono < 0; mono += 10_000) {
  const minute = mono / MINUTE;
  // The chiller stood still for seven minutes, and the water has come back since.
  const ranAway = Math.max(0, Math.min((minute + 23) / 7, (-4 - minute) / 11)) * 11;
  past.push(good("coolant", mono, 17.8 + 0.4 * Math.sin(minute) + ranAway));
  past.push(good("room-t", mono, 20.5), good("room-rh", mono, 45), good("fan", mono, 0));
}

/** A journal that holds these readings; as of a real one both ends of what is asked for are in the answer. */
const reader = {
  async *readingsForReplay({ fromMono, toMono, channels }: ReplayRequest) {
    const asked = past.filter(
      ({ at, channel }) => at.mono >= fromMono && at.mono <= toMono && (channels?.includes(channel) ?? true),
    );
    yield asked.slice(0, 700);
    yield asked.slice(700);
  },
};

function outlookAfter(readings: readonly Reading[]) {
  const coolantRange = { low: 15, high: 22 };
  const deriver = createDeriver({ definitions, coolantRange });
  const outlook = createOutlook({ definitions, coolantRange, leastMarginC: () => 2 });
  for (const reading of readings) outlook.take(reading, deriver.take(reading));
  return outlook.margin();
}

it("a restart does not take water that has come back for water that goes on falling", async () => {
  const recalled = await readingsBefore(reader, { bootId: "boot-1", mono: 0, definitions });
  const [before, after] = [outlookAfter(past), outlookAfter(recalled)];
  expect(before?.probability).toBeLessThan(0.5);
  // The oldest half minute of the hour is cut off in the middle.
  expect(after?.probability).toBeCloseTo(before?.probability ?? Number.NaN, 3);
  const lately = past.filter(({ at }) => at.mono >= -20 * MINUTE);
  expect(outlookAfter(lately)?.probability, "with twenty minutes alone").toBeGreaterThan(0.9);
});

it("what is recalled comes once, in order, and of the older part only what is looked at", async () => {
  const recalled = await readingsBefore(reader, { bootId: "boot-1", mono: 0, definitions });
  const later = past.filter(({ at }) => at.mono >= -20 * MINUTE);
  const older = past.filter(
    ({ at, channel }) => at.mono >= -60 * MINUTE && at.mono < -20 * MINUTE && channel !== "fan",
  );
  expect(recalled).toEqual([...older, ...later]);
});
