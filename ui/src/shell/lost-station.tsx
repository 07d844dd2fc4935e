import { useEffect, useRef } from "preact/hooks";
import { lastHeardWall, lost, silentMs } from "../link/heard.js";
import { Sign } from "../marks/signs.js";
import { silenceHere, sounding } from "../sound/annunciator.js";
import { ageText, timeOfDay } from "../words/time.js";
import { useReturn } from "./modal.js";

/** Lies over everything while nothing is heard of the station. */
export function LostStation() {
  return lost.value ? <LostPanel /> : null;
}

/** A modal dialog, since a job sheet that is open is one too: nothing else would lie over that. */
function LostPanel() {
  const panel = useRef<HTMLDialogElement>(null);
  const lay = () => {
    if (panel.current?.isConnected && !panel.current.open) panel.current.showModal();
  };
  useReturn();
  useEffect(lay, []);
  const since = lastHeardWall.value;
  return (
    <dialog
      class="lost"
      ref={panel}
      tabIndex={-1}
      aria-labelledby="lost-headline"
      data-testid="lost-station"
      onCancel={(event) => event.preventDefault()}
      // Browsers close a dialog on the second Escape, whatever the page says.
      onClose={lay}
    >
      <div class="lost-card" role="alert">
        <Sign name="lost" />
        {since === null ? (
          <p class="lost-headline" id="lost-headline">
            No word from the station yet.
          </p>
        ) : (
          <p class="lost-headline" id="lost-headline">
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
    </dialog>
  );
}
