import { describe, expect, it } from "vitest";
import { sentEntriesSchema } from "../../../station/model/entry.js";
import { PROPERTIES, type PropertyId } from "../../../station/model/grade.js";
import { lotFactsSchema } from "../../../station/model/lot-schema.js";
import { planFactsSchema } from "../../../station/model/plan-schema.js";
import { entry, ladder, lotFacts } from "../trials/plan-bench.js";

function pathsOf(
  schema: { safeParse(value: unknown): { error?: { issues: { path: PropertyKey[] }[] } } },
  value: unknown,
) {
  return schema.safeParse(value).error?.issues.map(({ path }) => path.join(".")) ?? [];
}

describe("what a screen sends of trials", () => {
  const search = {
    method: "search",
    slowest_mm_s: 5,
    fastest_mm_s: 30,
    step_mm_s: 0.5,
    within_pct: 3,
    most_cuts: 20,
    through_up_to: 1,
  } as const;

  it.each<[string, unknown, string[]]>([
    ["a ladder of speeds", ladder(), []],
    [
      "a ladder of powers",
      ladder({ layout: { method: "ladder", vary: "power", rungs: [40, 50], replicates: 1 }, speed_mm_s: 12 }),
      [],
    ],
    ["a search", ladder({ layout: search }), []],
    ["a lot twice", ladder({ lots: [ladder().lots[0] as string, ladder().lots[0] as string] }), ["lots"]],
    [
      "five lots",
      ladder({ lots: Array.from({ length: 5 }, (_, i) => `00000000-0000-4000-8000-00000000000${i}`) }),
      ["lots"],
    ],
    [
      "a rung twice",
      ladder({ layout: { method: "ladder", vary: "speed", rungs: [9, 9], replicates: 1 } }),
      ["rungs"],
    ],
    [
      "a power above all",
      ladder({ layout: { method: "ladder", vary: "power", rungs: [101], replicates: 1 }, speed_mm_s: 9 }),
      ["rungs"],
    ],
    [
      "powers without a speed",
      ladder({ layout: { method: "ladder", vary: "power", rungs: [50], replicates: 1 } }),
      ["speed_mm_s"],
    ],
    [
      "more cuts than anybody makes",
      ladder({
        layout: {
          method: "ladder",
          vary: "speed",
          rungs: Array.from({ length: 20 }, (_, i) => i + 1),
          replicates: 20,
        },
      }),
      ["replicates"],
    ],
    ["a search from fast to slow", ladder({ layout: { ...search, slowest_mm_s: 31 } }), ["fastest_mm_s"]],
    ["a search that nobody grades", ladder({ layout: search, properties: ["back_fuzz"] }), ["properties"]],
  ])("%s", (_what, facts, expected) => {
    expect(pathsOf(planFactsSchema, facts)).toEqual(expected);
  });

  it("refuses a grade that is not in the rubric, and a measure that cannot be", () => {
    const paths = (property: string, value: number | null) =>
      pathsOf(sentEntriesSchema, { entries: [entry("grade", "K7R3T", { value, grading: 1 }, property)] });
    for (const [id, property] of Object.entries(PROPERTIES) as [
      PropertyId,
      (typeof PROPERTIES)[PropertyId],
    ][]) {
      const most = property.as === "grade" ? property.grades.length - 1 : property.most;
      const least = property.as === "grade" ? 0 : property.least;
      expect([paths(id, least), paths(id, most), paths(id, null)]).toEqual([[], [], []]);
      expect(paths(id, most + 1)).toEqual(["entries.0.body.value"]);
      expect(paths(id, least - 1)).toEqual(["entries.0.body.value"]);
    }
    expect(paths("through", 1.5)).toEqual(["entries.0.body.value"]);
    expect(paths("smell", 1)).toEqual(["entries.0.property"]);
  });

  it("refuses a lot without its name, and a thickness of nothing", () => {
    expect(pathsOf(lotFactsSchema, lotFacts())).toEqual([]);
    expect(pathsOf(lotFactsSchema, lotFacts({ product: "" }))).toEqual(["product"]);
    expect(pathsOf(lotFactsSchema, lotFacts({ thickness_mm: [3, 0] }))).toEqual(["thickness_mm.1"]);
    expect(pathsOf(lotFactsSchema, lotFacts({ received_on: "31.12.2026" }))).toEqual(["received_on"]);
  });
});
