import { useRef, useState } from "preact/hooks";
import { LONGEST_SHELF_MIN, type StandingAlarm } from "../../../station/model/alarm.js";
import { useDoing } from "../link/asked.js";
import { RefusalText } from "../marks/refusal.js";
import { absent, useMissing } from "../settings/missing.js";
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
  const form = useRef<HTMLFormElement>(null);
  const { busy, refusal, attempt } = useDoing();
  const missing = absent({ reason: [reason.trim().length >= 3, "why it may be silent for so long"] });
  const { expected, allThere } = useMissing(form, missing);
  const shelve = () => {
    if (allThere()) void attempt(() => askAlarms.shelve(alarm.alarm, minutes, reason.trim()));
  };
  return (
    <details class="shelve" data-testid={`shelve-${alarm.alarm}`}>
      <summary>
        Shelve<span class="unseen"> {alarm.title}</span>
      </summary>
      <form
        ref={form}
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
          wrong={expected}
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
