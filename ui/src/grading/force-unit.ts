import { signal } from "@preact/signals";

const KEY = "station.force-unit";

function kept(): "own" | "kg" {
  try {
    return localStorage.getItem(KEY) === "kg" ? "kg" : "own";
  } catch {
    return "own";
  }
}

/** What the scale on this bench shows: its forces are typed in kilograms or in newtons. */
export const forceUnit = signal(kept());

export function nextForceUnit(): void {
  forceUnit.value = forceUnit.value === "kg" ? "own" : "kg";
  try {
    localStorage.setItem(KEY, forceUnit.value);
  } catch {
    return;
  }
}
