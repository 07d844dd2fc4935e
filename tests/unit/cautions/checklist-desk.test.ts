import { describe, expect, it } from "vitest";
import { CHECKLISTS } from "../../../safety/checklists.js";
import { createCheckListDesk } from "../../../station/cautions/checklist-desk.js";
import type { Deed } from "../../../station/model/deed.js";

const WALL = Date.UTC(2026, 4, 4, 7, 30);
const ITEMS = CHECKLISTS["before-first-cut"].items.map(({ id }) => id);

function desk() {
  const kept: Deed[] = [];
  let mono = 1000;
  const made = createCheckListDesk({
    clock: {
      now: () => ({ wall: WALL + mono, mono }),
      bootId: "boot",
      state: () => "synchronised",
      stop: () => undefined,
    } as never,
    lists: CHECKLISTS,
    dayOf: (wall) => new Date(wall).toISOString().slice(0, 10),
    runs: { current: () => null, lastEndMono: () => null },
    keep: async (deed) => void kept.push(deed),
    changed: () => undefined,
  });
  return { made, kept, later: (ms: number) => (mono += ms) };
}

describe("the check lists", () => {
  it("are due in the morning, and not once all of it was looked at", async () => {
    const { made, kept, later } = desk();
    expect(made.now().map(({ id }) => id)).toEqual(["before-first-cut"]);
    await made.done("before-first-cut", ITEMS, "wall");
    expect(made.now()).toEqual([]);
    expect(kept).toMatchObject([
      {
        who: "wall",
        what: "checklist",
        subject: "before-first-cut",
        outcome: "done",
        detail: { items: ITEMS },
      },
    ]);
    later(24 * 3_600_000);
    expect(made.now().map(({ id }) => id)).toEqual(["before-first-cut"]);
  });

  it("refuse what was not wholly looked at, with the words of what is missing, and keep nothing", async () => {
    const { made, kept } = desk();
    const tried = made.done("before-first-cut", ITEMS.slice(1), "wall");
    await expect(tried).rejects.toMatchObject({
      code: "request-invalid",
      message: `1 more to look at: ${CHECKLISTS["before-first-cut"].items[0]?.text}`,
    });
    expect(kept).toEqual([]);
    expect(made.now()).toHaveLength(1);
  });

  it("are taken up again after a restart, the newest of each, and never over one of this start", async () => {
    const { made } = desk();
    const deed = (id: number, wall: number) => ({
      ...{ id, bootId: "before", who: null, role: null, address: null },
      ...{ what: "checklist", subject: "before-first-cut", outcome: "done", at: { wall, mono: 5 } },
    });
    made.takeUp([deed(2, WALL - 60_000), deed(1, WALL - 90_000_000)]);
    expect(made.now()).toEqual([]);
    const other = desk().made;
    other.takeUp([deed(1, WALL - 90_000_000)]);
    expect(other.now()).toHaveLength(1);
  });
});
