import fc from "fast-check";
import { beforeEach, describe, expect, it } from "vitest";
import type { EntryAnswer } from "../../../station/model/entry.js";
import { createInMemory } from "../../../ui/src/grading/in-memory.js";
import type { KeptHere } from "../../../ui/src/grading/kept-here.js";
import { type SenderParts, sendLane } from "../../../ui/src/grading/sender.js";
import { type Lane, nextParcel, tallyOf, type Waiting } from "../../../ui/src/grading/waiting.js";
import { type Delivery, deliveryOf } from "../../../ui/src/link/deliver.js";
import { gradeOf, photoOf, queued } from "./entered.js";

const LATER: Delivery = { outcome: "later", why: "no way" };
const kept = (answers: EntryAnswer[]): Delivery => ({ outcome: "kept", answer: { entries: answers } });

let here: KeptHere;
/** What the station has got, in the order in which it came in, each once. */
let came: string[];
beforeEach(() => {
  here = createInMemory();
  came = [];
});

const take = (parcel: readonly Waiting[]): Delivery =>
  kept(
    parcel.map(({ entry }) => {
      const known = came.includes(entry);
      if (!known) came.push(entry);
      return { entry, became: known ? "known" : "kept", why: null };
    }),
  );
const partsWith = (send: (parcel: readonly Waiting[]) => Delivery): SenderParts => ({
  waiting: () => here.waiting(),
  send: async (parcel) => send(parcel),
  settle: (item, answer) => here.settle(item, answer),
  refuse: (item, why) => here.refuse(item, why),
});
async function enter(count: number): Promise<string[]> {
  const grades = Array.from({ length: count }, (_, i) => gradeOf(i % 4));
  for (const each of grades) await here.add(each, null, "");
  return grades.map(({ entry }) => entry);
}

describe("what waits", () => {
  it("goes in the order in which it was entered, in parcels that the station takes", async () => {
    const entries = await enter(120);
    const sizes: number[] = [];
    const left = await sendLane(
      partsWith((parcel) => {
        sizes.push(parcel.length);
        return take(parcel);
      }),
      "grade",
    );
    expect([left, came, sizes]).toEqual([null, entries, [50, 50, 20]]);
    expect(await here.waiting()).toEqual([]);
  });

  it("stays, all of it, where there is no answer, and is sent again with the same ids", async () => {
    const entries = await enter(3);
    const lost = (parcel: readonly Waiting[]) => {
      take(parcel);
      return LATER;
    };
    expect(await sendLane(partsWith(lost), "grade")).toBe("no way");
    expect(await here.waiting()).toHaveLength(3);
    expect(await sendLane(partsWith(take), "grade")).toBeNull();
    expect(came).toEqual(entries);
  });

  it("takes in what is entered while it is being sent, behind the rest", async () => {
    const entries = await enter(2);
    const more = gradeOf(1);
    const parts = partsWith(take);
    let added = false;
    const adding: SenderParts = {
      ...parts,
      async send(parcel) {
        if (!added) await here.add(more, null, "");
        added = true;
        return parts.send(parcel);
      },
    };
    expect(await sendLane(adding, "grade")).toBeNull();
    expect(came).toEqual([...entries, more.entry]);
  });

  it("keeps what the station will not take, with its words, and goes on with the rest", async () => {
    const entries = await enter(3);
    const answer = (parcel: readonly Waiting[]) =>
      kept(
        parcel.map(({ entry }) =>
          entry === entries[1]
            ? { entry, became: "refused", why: "no such specimen" }
            : { entry, became: "kept", why: null },
        ),
      );
    expect(await sendLane(partsWith(answer), "grade")).toBeNull();
    expect((await here.waiting()).map(({ entry, refused }) => [entry, refused])).toEqual([
      [entries[1], "no such specimen"],
    ]);
  });

  it("does not bring back what a person has dismissed, where two pages were told the same", async () => {
    await enter(1);
    const [item] = await here.waiting();
    if (item === undefined) throw new Error("One waits.");
    await here.refuse(item, "no such specimen");
    await here.dismiss(item);
    await here.refuse(item, "no such specimen");
    expect(await here.waiting()).toEqual([]);
  });

  it("asks about each alone where one that is not right has all refused, and loses none of the others", async () => {
    const entries = await enter(4);
    const strict = (parcel: readonly Waiting[]): Delivery =>
      parcel.some(({ entry }) => entry === entries[2])
        ? { outcome: "refused", why: "a number from 0 to 3" }
        : take(parcel);
    expect(await sendLane(partsWith(strict), "grade")).toBeNull();
    expect(came).toEqual([entries[0], entries[1], entries[3]]);
    expect((await here.waiting()).map(({ refused }) => refused)).toEqual(["a number from 0 to 3"]);
  });

  it("does not count what the station has not answered for", async () => {
    await enter(2);
    const half = (parcel: readonly Waiting[]) => {
      const [first] = parcel;
      return kept(first ? [{ entry: first.entry, became: "kept", why: null }] : []);
    };
    expect(await sendLane(partsWith(half), "grade")).not.toBeNull();
    const nothing = () => ({ outcome: "kept", answer: { entries: "?" } }) as const;
    expect(await sendLane(partsWith(nothing), "grade")).not.toBeNull();
    expect((await here.waiting()).length).toBe(1);
  });

  it("has grades and photos go each in their own order, so that no grade waits for a picture", async () => {
    const [photo, grade] = [photoOf(), gradeOf(1)];
    await here.add(photo, new ArrayBuffer(3), "");
    await here.add(grade, null, "");
    expect(await sendLane(partsWith(take), "grade")).toBeNull();
    expect(came).toEqual([grade.entry]);
    expect(await here.picture(photo.entry)).not.toBeNull();
    const row = { sha256: "0" };
    expect(
      await sendLane(
        partsWith(() => ({ outcome: "kept", answer: row })),
        "photo",
      ),
    ).toBeNull();
    expect([await here.waiting(), await here.picture(photo.entry)]).toEqual([[], null]);
  });

  it("arrives once and in order, whatever the way to the station does, from two pages at once", async () => {
    const way = fc.array(fc.constantFrom("kept", "lost", "answer lost"), { maxLength: 12 });
    await fc.assert(
      fc.asyncProperty(way, way, fc.integer({ min: 1, max: 130 }), async (one, other, count) => {
        here = createInMemory();
        came = [];
        const entries = await enter(count);
        const page = async (fates: string[]) => {
          let left: string | null;
          do {
            left = await sendLane(
              partsWith((parcel) => {
                const fate = fates.pop() ?? "kept";
                if (fate !== "lost") take(parcel);
                return fate === "kept" ? take(parcel) : LATER;
              }),
              "grade",
            );
          } while (left !== null);
        };
        await Promise.all([page([...one]), page([...other])]);
        expect(came).toEqual(entries);
        expect(await here.waiting()).toEqual([]);
      }),
      { numRuns: 60 },
    );
  });
});

describe("a parcel", () => {
  it("leaves out what was refused, and is of one lane", () => {
    const items = [
      queued(gradeOf(1), 3),
      queued(photoOf(), 1),
      queued(gradeOf(2), 2, "no"),
      queued(gradeOf(0), 1),
    ];
    const places = (lane: Lane, most: number) => nextParcel(items, lane, most).map(({ place }) => place);
    expect([places("grade", 9), places("grade", 1), places("photo", 9)]).toEqual([[1, 3], [1], [1]]);
  });

  it("is counted with when the oldest was entered", () => {
    const items = [
      queued(gradeOf(1, { enteredWall: 50 }), 2),
      queued(photoOf({ enteredWall: 40 }), 3),
      queued(gradeOf(1, { enteredWall: 10 }), 1, "no"),
    ];
    expect(tallyOf(items)).toEqual({ count: 2, since: 40, refused: 1, photos: 1 });
    expect(tallyOf([])).toEqual({ count: 0, since: null, refused: 0, photos: 0 });
  });
});

describe("an answer of the station", () => {
  const problem = (code: string) => ({ code, title: "No", detail: "Not that one." });

  it("says that it is kept only once it is on the disk", () => {
    expect(deliveryOf(200, { entries: [] }).outcome).toBe("kept");
    expect(deliveryOf(201, { sha256: "" }).outcome).toBe("kept");
    // Signed out, or a phone that only looks: what waits stays, and the foot of the page says what to do.
    const signedOut = deliveryOf(401, { code: "sign-in-needed", detail: "Sign in to see this." });
    expect(signedOut).toEqual({ outcome: "later", why: "Sign in again: what waits stays here until then." });
    expect(deliveryOf(403, { code: "not-allowed" })).toMatchObject({
      outcome: "later",
      why: expect.stringMatching(/only looks/),
    });
    expect(deliveryOf(429, { code: "too-many-requests", detail: "Wait." }).outcome).toBe("later");
    expect(deliveryOf(202, { entries: [] }).outcome).toBe("later");
    expect(deliveryOf(200, null).outcome).toBe("later");
  });

  it("refuses for good what can never be taken, and nothing else", () => {
    for (const status of [400, 404, 413, 415, 422])
      expect(deliveryOf(status, problem("photo-type"))).toEqual({ outcome: "refused", why: "Not that one." });
    for (const status of [403, 409, 429, 500, 502, 503, 507])
      expect(deliveryOf(status, problem("photo-busy"))).toEqual({ outcome: "later", why: "Not that one." });
  });

  it("is not believed where something else answers in the station's place", () => {
    expect(deliveryOf(404, null).outcome).toBe("later");
    expect(deliveryOf(404, { message: "Welcome" }).outcome).toBe("later");
  });
});
