import { standing } from "../link/live.js";

/** Tells a screen reader of an urgent alarm at once; says nothing for the eye. */
export function UrgentVoice() {
  const urgent = standing.value.filter(
    (alarm) => alarm.priority === "urgent" && alarm.state === "unacknowledged",
  );
  return (
    <div class="unseen" role="alert" aria-live="assertive">
      {urgent.map((alarm) => `Urgent alarm: ${alarm.title}. ${alarm.action}`).join(" ")}
    </div>
  );
}
