import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { shelfOf, takeUpShelf } from "../../../station/alarms/shelf.js";

const MINUTE = 60_000;
const told = { minutes: 60, reason: "new fan", by: "phone" };
const at = (mono: number, wall = 1_790_000_000_000 + mono) => ({ mono, wall });
const shelved = shelfOf(told, { now: at(1_000_000), clock: "synchronised", bootId: "boot-1" });

describe("a shelf over a restart", () => {
  it("goes on by the monotonic clock within a boot, whatever the wall clock says", () => {
    const again = takeUpShelf(shelved, { mono: 1_000_000 + 20 * MINUTE, bootId: "boot-1" }, null);
    expect(again).toMatchObject({ shelvedUntil: 1_000_000 + 60 * MINUTE, latestEndWall: null });
  });

  it("goes on in another boot with what was left at the last reading, and ends by a true wall clock at the latest", () => {
    const again = takeUpShelf(shelved, { mono: 5_000, bootId: "boot-2" }, 1_000_000 + 45 * MINUTE);
    expect(again).toMatchObject({
      shelvedUntil: 5_000 + 15 * MINUTE,
      latestEndWall: shelved.wall + 60 * MINUTE,
    });
    const unset = shelfOf(told, { now: at(0, 0), clock: "not synchronised", bootId: "boot-1" });
    expect(takeUpShelf(unset, { mono: 0, bootId: "boot-2" }, null).latestEndWall).toBeNull();
  });

  it("never lasts longer for it, however often the station restarts, and is over once all of it was watched", () => {
    const boots = fc.array(fc.record({ ranMs: fc.nat(30 * MINUTE), sameBoot: fc.boolean() }), {
      maxLength: 40,
    });
    fc.assert(
      fc.property(boots, (starts) => {
        let kept = shelved;
        let ranMs = 0;
        let mono = shelved.mono;
        starts.forEach(({ ranMs: ran, sameBoot }, i) => {
          ranMs += ran;
          const last = mono + ran;
          const bootId = sameBoot ? kept.bootId : `boot-${i + 10}`;
          mono = sameBoot ? last : 1000;
          const again = takeUpShelf(kept, { mono, bootId }, last);
          expect(again.shelvedUntil - mono).toBe(60 * MINUTE - ranMs);
          kept = again.kept;
        });
      }),
    );
  });
});
