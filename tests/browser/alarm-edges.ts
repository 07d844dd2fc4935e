import type { Page } from "playwright-core";

/** Wall milliseconds with fractions, on the same footing here and in the browser. */
export const wallNow = () => performance.timeOrigin + performance.now();

/** Has the page write down when an alarm became loud on it, and when it was no longer. */
export async function watchLoudness(page: Page, alarm: string): Promise<void> {
  await page.evaluate((selector) => {
    const seen: { loud: boolean; at: number }[] = [];
    Object.assign(window, { seenAlarms: seen });
    const look = () => {
      const loud = document.querySelector(selector) !== null;
      if (seen.at(-1)?.loud !== loud) seen.push({ loud, at: performance.timeOrigin + performance.now() });
    };
    look();
    new MutationObserver(look).observe(document.body, { subtree: true, childList: true, attributes: true });
  }, `[data-testid="alarm-${alarm}"].alarm-loud`);
}

/** How long it took from `sent`, wall milliseconds, until the page showed it loud, or no longer; milliseconds. */
export async function shownAfter(page: Page, loud: boolean, sent: number): Promise<number> {
  const at = await page.waitForFunction(
    ({ loud, sent }) => {
      const seen = (window as unknown as { seenAlarms: { loud: boolean; at: number }[] }).seenAlarms.at(-1);
      return seen !== undefined && seen.loud === loud && seen.at >= sent ? seen.at : null;
    },
    { loud, sent },
    { polling: 20, timeout: 20_000 },
  );
  return ((await at.jsonValue()) as number) - sent;
}
