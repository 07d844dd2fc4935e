import type { Locator, Page } from "playwright-core";

/** What is to be looked at before a block: it comes once the page has looked up what the block takes, and not with its heading. */
export async function needChecks(page: Page): Promise<readonly Locator[]> {
  const checks = page.getByTestId("need-checks").getByRole("checkbox");
  await checks.first().waitFor();
  return checks.all();
}
