import type { StandingAlarm } from "../../../station/model/alarm.js";
import { PriorityMark } from "../marks/priority.js";
import { anyUnitLabel, asEntered } from "../words/number.js";
import { isoText, whenText } from "../words/time.js";
import { Acknowledge, STATE_WORDS } from "./acknowledge.js";

/** One standing alarm with all that is known of it. */
export function AlarmCard({ alarm, wall }: { alarm: StandingAlarm; wall: number }) {
  return (
    <article
      class={`alarm-card edge-${alarm.priority} ${alarm.state === "unacknowledged" ? "alarm-loud" : ""}`}
      data-testid={`alarm-${alarm.alarm}`}
    >
      <header>
        <PriorityMark priority={alarm.priority} />
        <h3>{alarm.title}</h3>
        <p class="alarm-since">
          since <time dateTime={isoText(alarm.raisedWall)}>{whenText(alarm.raisedWall, wall)}</time>,{" "}
          {STATE_WORDS[alarm.state]}
        </p>
      </header>
      <p class="alarm-detail">{alarm.detail}</p>
      <dl class="alarm-facts">
        <div>
          <dt>What to do</dt>
          <dd>{alarm.action}</dd>
        </div>
        <div>
          <dt>If nothing is done</dt>
          <dd>{alarm.consequence}</dd>
        </div>
        {alarm.setpoint !== null && (
          <div>
            <dt>Setpoint</dt>
            <dd>
              {asEntered(alarm.setpoint)} {anyUnitLabel(alarm.unit)}
            </dd>
          </div>
        )}
      </dl>
      <Acknowledge alarm={alarm} />
    </article>
  );
}
