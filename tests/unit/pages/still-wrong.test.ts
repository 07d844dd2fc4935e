import { expect, it } from "vitest";
import { stillWrong } from "../../../ui/src/settings/still-wrong.js";
import { emptyPlan, planFactsOf } from "../../../ui/src/trials/make/plan-draft.js";

it("leaves out what was put right, says the rest in the words for what stands there now, and adds nothing", () => {
  const told = new Map([
    ["title", "what people call it"],
    ["passes", "a whole number"],
  ]);
  expect(
    stillWrong(
      told,
      new Map([
        ["passes", "at most 50"],
        ["note", "shorter"],
      ]),
    ),
  ).toEqual(new Map([["passes", "at most 50"]]));
});

it("of a plan's form says no more of the title once there is one", () => {
  const draft = emptyPlan(1);
  const told = planFactsOf(draft).wrong;
  expect([...told.keys()]).toContain("title");
  const titled = { ...draft, typed: { ...draft.typed, title: "Two boards", passes: "none" } };
  const still = stillWrong(told, planFactsOf(titled).wrong);
  expect([...still.keys()]).toEqual([...told.keys()].filter((key) => key !== "title"));
});
