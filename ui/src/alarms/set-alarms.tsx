import { type AlarmDefinition, PRIORITIES } from "../../../station/model/alarm.js";
import { PriorityMark } from "../marks/priority.js";
import { Wide } from "../marks/wide.js";
import { anyUnitLabel, asEntered, NO_VALUE } from "../words/number.js";

function quantity(value: number | null, unit: string | null): string {
  return value === null ? NO_VALUE : `${asEntered(value)}\u00a0${anyUnitLabel(unit)}`;
}

/** What raises an alarm, and when; each leads to where it is set. */
export function SetAlarms({ definitions }: { definitions: readonly AlarmDefinition[] }) {
  const sorted = [...definitions].sort(
    (a, b) =>
      PRIORITIES.indexOf(a.priority) - PRIORITIES.indexOf(b.priority) || a.title.localeCompare(b.title),
  );
  return (
    <section class="card" aria-labelledby="set-title">
      <h2 id="set-title">Set alarms</h2>
      <Wide name="Set alarms" look="table-scroll">
        <table class="table" data-testid="set-alarms">
          <caption>Set in station.yaml, or by the owner on the page of an alarm.</caption>
          <thead>
            <tr>
              <th scope="col">Alarm</th>
              <th scope="col">Priority</th>
              <th scope="col">Setpoint</th>
              <th scope="col">Deadband</th>
              <th scope="col">On-delay</th>
              <th scope="col">Off-delay</th>
            </tr>
          </thead>
          <tbody>
            {sorted.map((definition) => (
              <tr key={definition.id}>
                <th scope="row">
                  <a class="set-alarm" href={`/alarms/settings/${encodeURIComponent(definition.id)}`}>
                    {definition.title}
                  </a>
                </th>
                <td>
                  <PriorityMark priority={definition.priority} />
                </td>
                <td>{quantity(definition.setpoint, definition.unit)}</td>
                <td>{quantity(definition.deadband, definition.unit)}</td>
                <td>{asEntered(definition.onDelayS)}&nbsp;s</td>
                <td>{asEntered(definition.offDelayS)}&nbsp;s</td>
              </tr>
            ))}
          </tbody>
        </table>
      </Wide>
    </section>
  );
}
