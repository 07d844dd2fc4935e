import type { StandingAlarm } from "../../../station/model/alarm.js";
import { ask } from "../link/ask.js";
import { useDoing } from "../link/asked.js";
import { amend } from "../link/live.js";
import { RefusalText } from "../marks/refusal.js";
import { screenName } from "../shell/screen-name.js";
import { askAlarms } from "./ask-alarms.js";

export const STATE_WORDS: Readonly<Record<StandingAlarm["state"], string>> = {
  unacknowledged: "not acknowledged",
  acknowledged: "acknowledged",
  "returned-unacknowledged": "gone again, not acknowledged",
  "latched-unacknowledged": "gone again, held, not acknowledged",
  "latched-acknowledged": "gone again, held until it is reset",
};

export function Acknowledge({ alarm }: { alarm: StandingAlarm }) {
  const { busy, refusal, attempt } = useDoing();
  if (alarm.state === "acknowledged") return <p class="acknowledged">Acknowledged</p>;
  const latched = alarm.state === "latched-acknowledged";
  const acknowledge = () =>
    attempt(async () => {
      if (latched) return askAlarms.reset(alarm.alarm);
      const { standing } = await ask.acknowledge(alarm.alarm, screenName());
      amend({ alarms: standing });
    });
  return (
    <div class="acknowledge">
      <button
        type="button"
        class="button"
        data-testid={`${latched ? "reset" : "ack"}-${alarm.alarm}`}
        aria-disabled={busy}
        onClick={() => void acknowledge()}
      >
        {latched ? "Reset" : "Acknowledge"}
        <span class="unseen"> {alarm.title}</span>
      </button>
      <RefusalText refusal={refusal} />
    </div>
  );
}
