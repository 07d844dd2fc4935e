import { lastHeardWall, lost, silentMs } from "../link/heard.js";
import { Sign } from "../marks/signs.js";
import { silenceHere, sounding } from "../sound/annunciator.js";
import { ageText, timeOfDay } from "../words/time.js";

/** Lies over everything while nothing is heard of the station. */
export function LostStation() {
  if (!lost.value) return null;
  const since = lastHeardWall.value;
  return (
    <div class="lost" data-testid="lost-station">
      <div class="lost-card" role="alert">
        <Sign name="lost" />
        {since === null ? (
          <p class="lost-headline">No word from the station yet.</p>
        ) : (
          <p class="lost-headline">
            No word from the station since <time>{timeOfDay(since)}</time>. What you see is old.
          </p>
        )}
        <p>
          Do not go by this page. Look at the machine itself. The page keeps trying and comes back by itself
          once the station answers.
        </p>
      </div>
      <p class="lost-age" aria-hidden="true">
        {since === null
          ? "Trying to reach it."
          : `Silent for ${ageText(silentMs.value)}. Trying to reach it.`}
      </p>
      {sounding.value !== null && (
        <button type="button" class="button" onClick={silenceHere}>
          Silence this screen
        </button>
      )}
    </div>
  );
}
