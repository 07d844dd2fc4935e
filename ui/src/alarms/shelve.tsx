import { useState } from "preact/hooks";
import { LONGEST_SHELF_MIN, type StandingAlarm } from "../../../station/model/alarm.js";
import { useDoing } from "../link/asked.js";
import { RefusalText } from "../marks/refusal.js";
import { TypedField } from "../trials/typed/typed-field.js";
import { longText } from "../words/time.js";
import { askAlarms } from "./ask-alarms.js";

const LENGTHS_MIN = [10, 30, 60, 120, 480];

/** Keeps one alarm silent for a time, with a reason; it comes back by itself. */
export function Shelve({ alarm }: { alarm: Pick<StandingAlarm, "alarm" | "title" | "priority"> }) {
  const most = LONGEST_SHELF_MIN[alarm.priority];
  const lengths = LENGTHS_MIN.filter((length) => length <= most);
  const [minutes, setMinutes] = useState(lengths[0] ?? most);
  const [reason, setReason] = useState("");
  const [wrong, setWrong] = useState<ReadonlyMap<string, string>>(new Map());
  const { busy, refusal, attempt } = useDoing();
  const shelve = () => {
    const said = reason.trim().length >= 3;
    setWrong(said ? new Map() : new Map([["reason", "why it may be silent for so long"]]));
    if (said) void attempt(() => askAlarms.shelve(alarm.alarm, minutes, reason.trim()));
  };
  return (
    <details class="shelve" data-testid={`shelve-${alarm.alarm}`}>
      <summary>
        Shelve<span class="unseen"> {alarm.title}</span>
      </summary>
      <form
        noValidate
        onSubmit={(event) => {
          event.preventDefault();
          shelve();
        }}
      >
        <fieldset class="choices">
          <legend>Silent for</legend>
          {lengths.map((length) => (
            <label class="choice" key={length}>
              <input
                type="radio"
                name={`shelve-${alarm.alarm}`}
                checked={minutes === length}
                onChange={() => setMinutes(length)}
              />
              <span>{longText(length * 60_000)}</span>
            </label>
          ))}
        </fieldset>
        <TypedField
          name="reason"
          label="Why"
          value={reason}
          wrong={wrong}
          change={setReason}
          most={300}
          wide="whole"
        />
        <p class="soft">It is watched all the while, stays in the list, and comes back by itself.</p>
        <RefusalText refusal={refusal} />
        <button type="submit" class="button" aria-disabled={busy}>
          Shelve it
        </button>
      </form>
    </details>
  );
}
