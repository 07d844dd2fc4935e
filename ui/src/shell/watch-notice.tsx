import { now } from "../link/live.js";
import { countdown } from "../words/countdown.js";

/** The fire watch on every page, with the way to where it is answered. */
export function WatchNotice() {
  const watch = now.value?.afterCut.fireWatch;
  if (watch === undefined || watch.state !== "watching") return null;
  const { lookInS, leftS } = watch;
  return (
    <p class={lookInS <= 0 ? "notice notice-look" : "notice"} data-testid="fire-watch-notice">
      <a href="/">
        {lookInS <= 0
          ? "Fire watch: look at the bed and the tray now"
          : `Fire watch ${countdown(leftS)}, next look in ${countdown(lookInS)}`}
      </a>
    </p>
  );
}
