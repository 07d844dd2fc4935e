import { effect, signal } from "@preact/signals";
import { useState } from "preact/hooks";
import type { StandingAlarm } from "../../../station/model/alarm.js";
import type { Fitness } from "../../../station/model/now.js";
import { lost } from "../link/heard.js";
import { now } from "../link/live.js";
import { FITNESS_WORDS } from "../marks/fitness.js";
import { afterOpening } from "../words/opening.js";
import { type Told, toldOf } from "./told.js";

/** So long it stays for whoever looks for it with a screen reader; what goes is not read out. */
const STAYS_MS = 30_000;

interface Saying extends Told {
  readonly id: number;
}

let last = 0;
const sayings = signal<readonly Saying[]>([]);

function tell(told: readonly Told[]): void {
  if (told.length === 0) return;
  const more = told.map((each) => ({ ...each, id: ++last }));
  sayings.value = [...sayings.peek(), ...more];
  setTimeout(() => {
    sayings.value = sayings.peek().filter((each) => !more.includes(each));
  }, STAYS_MS);
}

/** Tells of alarms, of fit to cut and of the station's return, on every page, for the life of the page. */
export function startVoice(): void {
  let alarms: readonly StandingAlarm[] = [];
  let fitness: Fitness | null = null;
  let gone = false;
  effect(() => {
    const seen = now.value;
    if (seen === null) return;
    tell(toldOf(alarms, seen.alarms));
    alarms = seen.alarms;
    const { fitness: is, sentence } = seen.readiness;
    const words = FITNESS_WORDS[is];
    // What it is at first stands on the page; of that only a change is told.
    if (fitness !== null && fitness !== is)
      tell([{ atOnce: false, words: `${words}. ${afterOpening(sentence, words)}` }]);
    fitness = is;
  });
  effect(() => {
    if (gone && !lost.value) tell([{ atOnce: false, words: "The station answers again." }]);
    gone = lost.value;
  });
}

/**
 * What a screen reader says, and the eye does not see. A dialog that lies over the page needs one of its own, since all
 * behind it is silent; it tells only what comes while it is open.
 */
export function Voice() {
  const [from] = useState(() => (last === 0 ? 0 : last + 1));
  const mine = sayings.value.filter(({ id }) => id >= from);
  const lines = (atOnce: boolean) =>
    mine.filter((each) => each.atOnce === atOnce).map(({ id, words }) => <p key={id}>{words}</p>);
  // Not atomic: else each new line would have all the others read out again.
  return (
    <div class="unseen" data-testid="voice">
      <div role="alert" aria-live="assertive" aria-atomic="false" aria-relevant="additions">
        {lines(true)}
      </div>
      <div role="status" aria-live="polite" aria-atomic="false" aria-relevant="additions">
        {lines(false)}
      </div>
    </div>
  );
}
