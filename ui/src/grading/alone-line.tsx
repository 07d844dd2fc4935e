import { lastHeardWall, lost } from "../link/heard.js";
import { Sign } from "../marks/signs.js";
import { silenceHere, sounding } from "../sound/annunciator.js";
import { timeOfDay } from "../words/time.js";

/** On the pages that go on alone: that nothing is heard of the station. */
export function AloneLine() {
  if (!lost.value) return null;
  const since = lastHeardWall.value;
  return (
    <div class="alone" role="status" data-testid="alone">
      <Sign name="lost" />
      <p>
        <strong>
          {since === null
            ? "No word from the station yet."
            : `No word from the station since ${timeOfDay(since)}.`}
        </strong>{" "}
        Go on: what you enter is kept here and sent later. Alarms do not reach this screen.
      </p>
      {sounding.value !== null && (
        <button type="button" class="button" onClick={silenceHere}>
          Silence this screen
        </button>
      )}
    </div>
  );
}
