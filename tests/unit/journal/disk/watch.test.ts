import { describe, expect, it } from "vitest";
import { createDiskWatch, type Seen } from "../../../../station/journal/disk/watch.js";
import { emptyFolder } from "../samples.js";

const roomy: Seen = { freeBytes: 10e9, totalBytes: 16e9, journalBytes: 1e6 };
const parts = { folder: "/nowhere", startedMono: 0, expectedADay: 1e6, reserveBytes: 32e6, leastDays: 30 };

/** Looks that are answered by hand. */
function byHand() {
  const asked: { answer: (seen: Seen) => void; fail: (error: Error) => void }[] = [];
  const look = () => new Promise<Seen>((answer, fail) => asked.push({ answer, fail }));
  return { asked, watch: createDiskWatch({ ...parts, look }) };
}

describe("the disk watch", () => {
  it("says what the operating system says of a real folder, before there is a journal in it", async () => {
    const { folder, remove } = emptyFolder();
    const watch = createDiskWatch({ ...parts, folder });
    watch.tick(0);
    await watch.settled();
    expect(watch.view()).toMatchObject({ journalBytes: 0, trouble: null });
    expect(watch.view().freeBytes).toBeGreaterThan(0);
    expect(watch.view().totalBytes).toBeGreaterThanOrEqual(watch.view().freeBytes ?? 0);
    remove();
  });

  it("looks every five seconds, and never twice at once", async () => {
    const { asked, watch } = byHand();
    for (const now of [0, 500, 4_999, 5_000, 14_000]) watch.tick(now);
    expect(asked.length).toBe(1);
    asked[0]?.answer(roomy);
    await watch.settled();
    watch.tick(14_500);
    expect(asked.length).toBe(2);
    watch.tick(15_000);
    expect(asked.length).toBe(2);
  });

  it("says that a disk does not answer, repeats nothing of it, and knows it again once it does", async () => {
    const { asked, watch } = byHand();
    watch.tick(0);
    asked[0]?.answer(roomy);
    await watch.settled();
    expect(watch.view().freeBytes).toBe(10e9);
    watch.tick(5_000);
    watch.tick(20_500);
    expect(watch.view()).toMatchObject({ freeBytes: null, daysLeft: null, trouble: "it does not answer" });
    expect(asked.length).toBe(2);
    asked[1]?.answer(roomy);
    await watch.settled();
    expect(watch.view()).toMatchObject({ freeBytes: 10e9, trouble: null });
  });

  it("says why it could not look", async () => {
    const { asked, watch } = byHand();
    watch.tick(0);
    asked[0]?.fail(new Error("EIO: i/o error, statfs"));
    await watch.settled();
    expect(watch.view().text).toBe(
      "How much room the journal's disk has is not known: EIO: i/o error, statfs.",
    );
  });
});
