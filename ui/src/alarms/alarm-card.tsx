import type { StandingAlarm } from "../../../station/model/alarm.js";
import { PriorityMark } from "../marks/priority.js";
import { anyUnitLabel, asEntered } from "../words/number.js";
import { isoText, longText, whenText } from "../words/time.js";
import { Acknowledge, STATE_WORDS } from "./acknowledge.js";
import { Shelve } from "./shelve.js";

/** One standing alarm with all that is known of it. */
export function AlarmCard({ alarm, wall }: { alarm: StandingAlarm; wall: number }) {
  const setting = `/alarms/settings/${encodeURIComponent(alarm.alarm)}`;
  return (
    <article
      class={`alarm-card edge-${alarm.priority} ${isLoud(alarm) ? "alarm-loud" : ""}`}
      data-testid={`alarm-${alarm.alarm}`}
    >
      <header>
        <PriorityMark priority={alarm.priority} />
        <h3>{alarm.title}</h3>
        <p class="alarm-since">
          since <time dateTime={isoText(alarm.raisedWall)}>{whenText(alarm.raisedWall, wall)}</time>,{" "}
          {STATE_WORDS[alarm.state]}
        </p>
        <Marks alarm={alarm} />
      </header>
      <p class="alarm-detail">{alarm.detail}</p>
      <dl class="alarm-facts">
        <div>
          <dt>What to do</dt>
          <dd>{alarm.action}</dd>
        </div>
        <div>
          <dt>Within</dt>
          <dd>{longText(alarm.respondWithinS * 1000)}</dd>
        </div>
        <div>
          <dt>If nothing is done</dt>
          <dd>{alarm.consequence}</dd>
        </div>
        <div>
          <dt>Likely cause</dt>
          <dd>{alarm.cause}</dd>
        </div>
        <div>
          <dt>{alarm.setpoint === null ? "Set so because" : "Setpoint"}</dt>
          <dd>
            {alarm.setpoint !== null && (
              <strong>
                {asEntered(alarm.setpoint)} {anyUnitLabel(alarm.unit)}.{" "}
              </strong>
            )}
            {alarm.reason}{" "}
            <a class="alarm-setting" href={setting}>
              How it is set
            </a>
          </dd>
        </div>
      </dl>
      <Shelve alarm={alarm} />
      <Acknowledge alarm={alarm} />
    </article>
  );
}

export function isLoud({ state }: Pick<StandingAlarm, "state">): boolean {
  return state === "unacknowledged" || state === "latched-unacknowledged";
}

/** What else is to be known of how it stands. */
function Marks({ alarm: { firstOut, chattering, recurring, stale } }: { alarm: StandingAlarm }) {
  const words = [
    firstOut && "Rose first of its group",
    chattering && "Comes and goes: held until it is quiet",
    recurring && !chattering && "Over for now: held until that has lasted ten minutes",
    stale && "Has stood for more than a day",
  ].filter((word) => word !== false);
  if (words.length === 0) return null;
  return (
    <ul class="alarm-marks">
      {words.map((word) => (
        <li key={word}>{word}</li>
      ))}
    </ul>
  );
}
