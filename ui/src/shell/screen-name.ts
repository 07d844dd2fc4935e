import { signal } from "@preact/signals";

const KEY = "station.screen-name";
/** The station's limit for a name. */
export const LONGEST_NAME = 40;

function kept(): string {
  try {
    return localStorage.getItem(KEY) ?? "";
  } catch {
    return "";
  }
}

const own = signal(kept());

export function screenName(): string {
  return own.value || "unnamed screen";
}

export function givenName(): string {
  return own.value;
}

/** Under this name the screen acknowledges alarms; kept in this browser. */
export function nameScreen(name: string): void {
  own.value = name.trim().slice(0, LONGEST_NAME);
  try {
    localStorage.setItem(KEY, own.value);
  } catch {
    return;
  }
}
