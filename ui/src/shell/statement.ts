import { signal } from "@preact/signals";

/** Stands in the footer until the station has sent its own wording. */
export const shortStatement = signal("This station is an adviser, not a safety interlock.");
