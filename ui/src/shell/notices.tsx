import { useLocation } from "preact-iso/router";
import { may } from "../access/me.js";
import { goesOnAlone } from "../grading/addresses.js";
import { waiting } from "../grading/outbox.js";
import { tallyOf } from "../grading/waiting.js";
import { tallyWords } from "../grading/words.js";
import { now } from "../link/live.js";
import { Sign } from "../marks/signs.js";
import { soundState } from "../sound/annunciator.js";
import { WatchNotice } from "./watch-notice.js";

/** One row under the bar for what is true of every page. Empty, it takes no room. */
export function Notices() {
  const { path } = useLocation();
  const simulated = now.value?.simulated ?? false;
  const sound = soundState.value;
  const tally = tallyOf(waiting.value);
  // The pages where it is entered tell of it themselves, where nothing moves because of it.
  const grading = goesOnAlone(path);
  const undone = tally.count + tally.refused > 0 && !grading;
  // It goes at the first touch, and on a page of many buttons what was touched would move away before the finger is lifted.
  const withheld = sound === "withheld" && !grading;
  const watching = now.value?.afterCut.fireWatch.state === "watching";
  if (!watching && !simulated && !withheld && sound !== "missing" && !undone) return null;
  return (
    <section class="notices" aria-label="Notices">
      {simulated && (
        <p class="notice notice-simulated" data-testid="simulated">
          <strong>SIMULATED</strong> <span class="notice-more">No real sensor is behind these values.</span>
          {/* On a station that was just started this is what comes next, and nobody is to search for it. */}
          {may("owner") && path !== "/setup" && (
            <>
              {" "}
              <a href="/setup">Set up sensors</a>
            </>
          )}
        </p>
      )}
      <WatchNotice />
      {undone && (
        <p class="notice" data-testid="waiting-notice">
          <a href="/grade">
            {tally.count > 0 && `${tallyWords(tally)} for the station`}
            {tally.count > 0 && tally.refused > 0 && ", "}
            {tally.refused > 0 && `${tally.refused} not taken`}
          </a>
        </p>
      )}
      {withheld && (
        <p class="notice notice-sound" data-testid="sound-withheld" role="status">
          <Sign name="sound-off" /> Sound is off until you touch the screen.
        </p>
      )}
      {sound === "missing" && (
        <p class="notice notice-sound" data-testid="sound-withheld" role="status">
          <Sign name="sound-off" /> This browser cannot sound alarms.
        </p>
      )}
    </section>
  );
}
