import type { SuppressedAlarm } from "../../../station/model/alarm.js";
import { useDoing } from "../link/asked.js";
import { PriorityMark } from "../marks/priority.js";
import { RefusalText } from "../marks/refusal.js";
import { longText } from "../words/time.js";
import { askAlarms } from "./ask-alarms.js";

export const SUPPRESSED_WORDS: Readonly<Record<SuppressedAlarm["state"], string>> = {
  shelved: "shelved",
  "suppressed-by-design": "suppressed by design",
  "out-of-service": "out of service",
};

/** "shelved, 12 min left", "out of service for 3 d" */
export function suppressedText({ state, leftMs, forMs }: SuppressedAlarm): string {
  if (leftMs !== null) {
    return leftMs < 1000
      ? `${SUPPRESSED_WORDS[state]}, back at once`
      : `${SUPPRESSED_WORDS[state]}, ${longText(leftMs)} left`;
  }
  return `${SUPPRESSED_WORDS[state]} for ${longText(forMs)}`;
}

/** All that is kept silent, always in sight. */
export function Suppressed({ alarms }: { alarms: readonly SuppressedAlarm[] }) {
  return (
    <section class="card" aria-labelledby="suppressed-title">
      <h2 id="suppressed-title">Kept silent</h2>
      {alarms.length === 0 ? (
        <p>No alarm is shelved, out of service or suppressed.</p>
      ) : (
        <ul class="suppressed" data-testid="suppressed">
          {alarms.map((alarm) => (
            <SuppressedLine key={alarm.alarm} alarm={alarm} />
          ))}
        </ul>
      )}
    </section>
  );
}

function SuppressedLine({ alarm }: { alarm: SuppressedAlarm }) {
  const { busy, refusal, attempt } = useDoing();
  const back = alarm.state === "shelved" ? askAlarms.unshelve : askAlarms.putInService;
  return (
    <li data-testid={`suppressed-${alarm.alarm}`}>
      <PriorityMark priority={alarm.priority} />
      <div>
        <p>
          <strong>{alarm.title}</strong>: {suppressedText(alarm)}
        </p>
        <p class="soft">
          {alarm.reason}
          {alarm.by !== null && ` (${alarm.by})`}
        </p>
        {alarm.conditionThere && <p class="suppressed-there">What it is for is there now.</p>}
        <RefusalText refusal={refusal} />
      </div>
      {alarm.state !== "suppressed-by-design" && (
        <button
          type="button"
          class="button"
          aria-disabled={busy}
          onClick={() => void attempt(() => back(alarm.alarm))}
        >
          {alarm.state === "shelved" ? "Unshelve" : "Put back in service"}
          <span class="unseen"> {alarm.title}</span>
        </button>
      )}
    </li>
  );
}
