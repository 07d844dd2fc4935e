import { computed, effect, signal } from "@preact/signals";

export type ThemeChoice = "system" | "light" | "dark";

const KEY = "station.theme";
const order: readonly ThemeChoice[] = ["system", "light", "dark"];

function kept(): ThemeChoice {
  try {
    const found = localStorage.getItem(KEY);
    return order.find((choice) => choice === found) ?? "system";
  } catch {
    // Storage may be forbidden; then the choice lasts as long as the page.
    return "system";
  }
}

export const themeChoice = signal<ThemeChoice>("system");
const systemDark = signal(false);

/** Whether a person has the browser show all pages in colours of their own; charts redraw when it changes. */
export const forcedColours = signal(false);

/** What is on the screen now; charts redraw when it changes. */
export const themeInForce = computed<"light" | "dark">(() =>
  themeChoice.value === "system" ? (systemDark.value ? "dark" : "light") : themeChoice.value,
);

export function nextTheme(): void {
  themeChoice.value = order[(order.indexOf(themeChoice.value) + 1) % order.length] ?? "system";
  try {
    localStorage.setItem(KEY, themeChoice.value);
  } catch {
    return;
  }
}

/** Runs before the first render, so that the page never flashes in the other theme. */
export function startTheme(): void {
  themeChoice.value = kept();
  const query = matchMedia("(prefers-color-scheme: dark)");
  systemDark.value = query.matches;
  query.addEventListener("change", () => {
    systemDark.value = query.matches;
  });
  const forced = matchMedia("(forced-colors: active)");
  forcedColours.value = forced.matches;
  forced.addEventListener("change", () => {
    forcedColours.value = forced.matches;
  });
  effect(() => {
    if (themeChoice.value === "system") delete document.documentElement.dataset.theme;
    else document.documentElement.dataset.theme = themeChoice.value;
  });
}
