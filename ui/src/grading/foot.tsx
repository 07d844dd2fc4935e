import type { ComponentChildren } from "preact";
import { lastHeardWall, lost } from "../link/heard.js";
import { Sign } from "../marks/signs.js";
import { silenceHere, sounding } from "../sound/annunciator.js";
import { isoText, timeOfDay, whenText } from "../words/time.js";
import { trouble, waiting } from "./outbox.js";
import { tallyOf } from "./waiting.js";
import { tallyWords } from "./words.js";

/** In few words, for what is graded has to be seen beside it: the page with the code says more. */
function FootLine() {
  const alone = lost.value;
  const { count, since } = tallyOf(waiting.value);
  // What is on its way at this moment is not waiting yet.
  const waits = count > 0 && since !== null && (alone || trouble.value !== null);
  if (!alone && !waits) return null;
  const heard = lastHeardWall.value;
  return (
    <div class={alone ? "foot-line foot-alone" : "foot-line"} role="status">
      <Sign name={alone ? "lost" : "clock"} />
      <p>
        {alone && (
          <strong data-testid="alone">
            No word from the station {heard === null ? "yet" : `since ${timeOfDay(heard)}`}, and no alarms.
          </strong>
        )}{" "}
        {waits ? (
          <span data-testid="waiting-line">
            {tallyWords(tallyOf(waiting.value))} here since{" "}
            <time dateTime={isoText(since)}>{whenText(since, Date.now())}</time>.
          </span>
        ) : (
          "Go on: what you enter waits here."
        )}
      </p>
      {sounding.value !== null && alone && (
        <button type="button" class="button" onClick={silenceHere}>
          Silence this screen
        </button>
      )}
    </div>
  );
}

/**
 * At the foot of the screen while the page is scrolled: whatever comes and goes stands here, so that no button moves away under
 * a finger that is about to press it.
 */
export function Foot({ wrong, children }: { wrong: string | null; children: ComponentChildren }) {
  return (
    <div class="foot">
      {wrong !== null && (
        <p class="refusal" role="alert" data-testid="not-kept">
          {wrong}
        </p>
      )}
      <FootLine />
      {children}
    </div>
  );
}
