import type { Page } from "playwright-core";

/** What a person with a keyboard finds wrong with a page. */
export interface Walk {
  /** Never reached by Tab, though they can be pressed or typed in. */
  readonly unreached: readonly string[];
  /** Reached, and not to be seen that it was. */
  readonly unmarked: readonly string[];
  /** Reached, and all of it under something else or off the screen. */
  readonly hidden: readonly string[];
  /** Where the focus went back up the page, and not into a column to the right. */
  readonly backwards: readonly string[];
  /** How many places the keyboard stopped at. */
  readonly stops: number;
}

/** Set up in the page: what can be pressed there, and the way to name and look at it. */
function prepare(): number {
  const modal = document.querySelector("dialog:modal");
  const all = (modal ?? document).querySelectorAll<HTMLElement>(
    "a[href], button, input, select, textarea, summary, [tabindex], audio[controls], video[controls]",
  );
  const can = [...all].filter(
    (each) =>
      each.tabIndex >= 0 &&
      !each.matches(":disabled") &&
      each.closest("[inert]") === null &&
      each.checkVisibility({ visibilityProperty: true }),
  );
  (window as unknown as { canBe: HTMLElement[] }).canBe = can;
  return can.length;
}

interface Stop {
  readonly place: number;
  readonly marked: boolean;
  readonly seen: boolean;
  readonly inMain: boolean;
  readonly box: { left: number; right: number; top: number; bottom: number };
}

/** Where the keyboard is now; null for nowhere on the page. */
function here(): Stop | null {
  const { canBe } = window as unknown as { canBe: HTMLElement[] };
  const at = document.activeElement as HTMLElement | null;
  if (at === null || at === document.body || at === document.documentElement) return null;
  const looks = [at, at.closest("label")]
    .filter((each) => each !== null)
    .map((each) => getComputedStyle(each));
  const marked = looks.some(
    ({ outlineStyle, outlineWidth, outlineColor }) =>
      outlineStyle !== "none" &&
      Number.parseFloat(outlineWidth) >= 2 &&
      !/, 0\)$|transparent/.test(outlineColor),
  );
  const { left, right, top, bottom } = at.getBoundingClientRect();
  const points = [0.05, 0.5, 0.95].flatMap((x) =>
    [0.05, 0.5, 0.95].map((y) => [left + x * (right - left), top + y * (bottom - top)] as const),
  );
  const label = at.closest("label");
  const seen = points.some(([x, y]) => {
    const found = document.elementFromPoint(x, y);
    return found !== null && (at.contains(found) || label?.contains(found) === true);
  });
  const scrolled = document.querySelector("main")?.scrollTop ?? 0;
  const down = window.scrollY + scrolled;
  const box = { left, right, top: top + down, bottom: bottom + down };
  return { place: canBe.indexOf(at), marked, seen, inMain: at.closest("main, dialog") !== null, box };
}

/** Goes through a page by Tab alone, from where the keyboard is until it comes back there. */
export async function walk(page: Page): Promise<Walk> {
  const count = await page.evaluate(prepare);
  const stops: Stop[] = [];
  const visited = new Set<number>();
  let nowhere = 0;
  for (let i = 0; i < 2 * count + 20; i++) {
    await page.keyboard.press("Tab");
    const stop = await page.evaluate(here);
    if (stop === null) {
      nowhere += 1;
      // Between the last and the first lies the browser's own frame.
      if (nowhere > 1) break;
      continue;
    }
    // A field for a day has a stop for each of its parts.
    if (stop.place === stops.at(-1)?.place) continue;
    if (visited.has(stop.place)) break;
    visited.add(stop.place);
    stops.push(stop);
  }
  const names = await page.evaluate(() =>
    (window as unknown as { canBe: HTMLElement[] }).canBe.map((each) => {
      const words =
        each.getAttribute("aria-label") ?? each.closest("label")?.textContent ?? each.textContent ?? "";
      const group = each instanceof HTMLInputElement && each.type === "radio" ? each.name : "";
      return { name: `${each.localName} ${each.dataset.testid ?? ""} “${words.trim().slice(0, 60)}”`, group };
    }),
  );
  const named = (place: number) => names[place]?.name ?? "something that cannot be pressed";
  // Of radio buttons that belong together one is reached, and the arrows go to the others.
  const groups = new Set([...visited].map((place) => names[place]?.group).filter((group) => group));
  return {
    unreached: names
      .filter(({ group }, place) => !visited.has(place) && !(group !== "" && groups.has(group)))
      .map(({ name }) => name),
    unmarked: stops.filter(({ marked }) => !marked).map(({ place }) => named(place)),
    hidden: stops.filter(({ seen }) => !seen).map(({ place }) => named(place)),
    backwards: stops.flatMap((stop, i) => {
      const before = stops[i - 1];
      // In a dialog it comes round to the first again.
      const round = stop.place === Math.min(...visited);
      if (before === undefined || round || !before.inMain || !stop.inMain) return [];
      const up = stop.box.bottom <= before.box.top + 1 && stop.box.left < before.box.right;
      return up ? [`${named(before.place)} → ${named(stop.place)}`] : [];
    }),
    stops: stops.length,
  };
}
