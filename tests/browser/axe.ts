import axe from "axe-core";
import type { Page } from "playwright-core";

/** The levels that are asked for, and what is good practice beside them. */
const TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice", "experimental"];
/**
 * "p-as-heading" takes every short paragraph in large type for a heading. Here it is a figure that is read across the room
 * under a heading of its own: the speed of a settings sheet, the sentence of a review.
 */
const LEFT_OUT = ["p-as-heading"];
/** Each by its name, since axe leaves out some of them unless they are asked for: the size of what is pressed is one. */
const RULES = axe
  .getRules(TAGS)
  .map(({ ruleId }) => ruleId)
  .filter((rule) => !LEFT_OUT.includes(rule));

export interface Found {
  readonly rule: string;
  readonly where: string;
  readonly why: string;
}

/** What axe finds wrong with the page as it stands now, or in a part of it. */
async function run(
  page: Page,
  kind: "violations" | "incomplete",
  part?: string,
  rules = RULES,
): Promise<readonly Found[]> {
  if (!(await page.evaluate(() => "axe" in window))) await page.evaluate(axe.source);
  const results = await page.evaluate(
    ({ rules, part }) =>
      (window as unknown as { axe: typeof axe }).axe.run(part ?? document, {
        runOnly: { type: "rule", values: rules },
        resultTypes: ["violations", "incomplete"],
      }),
    { rules, part },
  );
  return results[kind].flatMap(({ id, nodes }) =>
    nodes.map(({ target, failureSummary, any, all, none }) => ({
      rule: id,
      where: target.join(" "),
      why: [...any, ...all, ...none].map(({ message }) => message).join("; ") || (failureSummary ?? ""),
    })),
  );
}

/** What axe finds wrong with the page as it stands now. */
export async function wrongIn(page: Page): Promise<readonly Found[]> {
  const found = await run(page, "violations");
  const wrong: Found[] = [];
  for (const each of found) {
    // Under a foot that stays where it is: looked at again where it has been moved clear of it, as anybody does.
    if (each.rule === "target-size" && /obscured/.test(each.why)) {
      await page.locator(each.where).evaluate((element) => element.scrollIntoView({ block: "center" }));
      if ((await run(page, "violations", each.where, ["target-size"])).length === 0) continue;
    }
    wrong.push(each);
  }
  return wrong;
}
