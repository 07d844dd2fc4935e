import { now } from "../link/live.js";
import { Sign } from "./signs.js";

/** Beside what is drawn or saved from the journal, for as long as it has not been found sound. */
export function JournalDoubt() {
  const doubt = now.value?.journal.doubt ?? null;
  if (doubt === null) return null;
  return (
    <p class="trouble-line trouble-bad" role="status" data-testid="journal-doubt">
      <Sign name="note" /> <span>{doubt}</span>
    </p>
  );
}
