import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { createDeriver, type DerivedValue } from "../../../station/conditions/deriver.js";
import type { Reading, Reason } from "../../../station/model/reading.js";
import { chiller, scene, seeded } from "./coolant-scenes.js";
import { channelsBut, good, poor } from "./stock-channels.js";

const deriver = () => createDeriver({ definitions: channelsBut(), coolantRange: { low: 18, high: 22 } });

describe("replay", () => {
  const mixed = (seed: number, lastS: number): Reading[] => {
    const random = seeded(seed);
    const reasons: Reason[] = ["stale", "crc-failed", "sender-marked", "sudden-jump"];
    return scene((s) => 20 + chiller(s, 200, 0.4), lastS, { everyS: 0.7, seed }).flatMap(
      ({ mono, value }) => {
        const coolant =
          random() < 0.03
            ? poor("coolant", mono, reasons[Math.floor(random() * 4)] ?? "stale", value)
            : good("coolant", mono, value);
        const room = good(random() < 0.5 ? "room-t" : "room-rh", mono, 20 + 20 * random());
        return random() < 0.3 ? [coolant, room] : [coolant];
      },
    );
  };

  it("gives identical values for the same readings, whatever was asked in between", () => {
    fc.assert(
      fc.property(fc.integer(), (seed) => {
        const readings = mixed(seed, 300);
        const live = deriver();
        const seen = readings.flatMap((reading) => {
          live.trend();
          live.current();
          return live.take(reading);
        });
        const replayed = deriver();
        expect(readings.flatMap((reading) => replayed.take(reading))).toEqual(seen);
        expect(replayed.current()).toEqual(live.current());
        expect(replayed.trend()).toEqual(live.trend());
      }),
      { numRuns: 10 },
    );
  });

  it("gives identical values when it begins only one window earlier", () => {
    fc.assert(
      fc.property(fc.integer(), fc.integer({ min: 0, max: 5000 }), (seed, offset) => {
        const readings = mixed(seed, 2200);
        const whole = deriver();
        const late = deriver();
        for (const reading of readings) {
          const values = whole.take(reading);
          if (reading.at.mono < 800_000 + offset) continue;
          const again = late.take(reading);
          const isTrend = ({ condition }: DerivedValue) => condition.startsWith("coolant-");
          if (reading.at.mono > 1_410_000) expect(again.filter(isTrend)).toEqual(values.filter(isTrend));
        }
        expect(late.trend()).toEqual(whole.trend());
      }),
      { numRuns: 3 },
    );
  });
});
