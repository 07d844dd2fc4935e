import { useId, useState } from "preact/hooks";
import { PRIORITIES } from "../../../station/model/alarm.js";
import { PRIORITY_WORDS, PriorityShape } from "../marks/priority.js";
import { givenName, LONGEST_NAME, nameScreen } from "../shell/screen-name.js";
import { hear } from "../sound/annunciator.js";
import { PATTERNS } from "../sound/patterns.js";

/** What belongs to this browser alone: its sound, and the name it acknowledges under. */
export function ThisScreen() {
  const id = useId();
  const [name, setName] = useState(givenName());
  const [kept, setKept] = useState(false);
  return (
    <section class="card" aria-labelledby="screen-title">
      <h2 id="screen-title">This screen</h2>
      <p>Each priority has its own sound, as well as its own shape. Press one to hear it.</p>
      <ul class="hearings">
        {PRIORITIES.map((priority) => (
          <li key={priority}>
            <button type="button" class="button" onClick={() => void hear(priority)}>
              <PriorityShape priority={priority} /> {PRIORITY_WORDS[priority]}
            </button>
            <span>{PATTERNS[priority].inWords}</span>
          </li>
        ))}
      </ul>
      <form
        class="name-form"
        onSubmit={(event) => {
          event.preventDefault();
          nameScreen(name);
          setKept(true);
        }}
      >
        <div class="field">
          <label for={id}>Name of this screen</label>
          <input
            id={id}
            type="text"
            maxLength={LONGEST_NAME}
            value={name}
            onInput={(event) => {
              setName(event.currentTarget.value);
              setKept(false);
            }}
          />
        </div>
        <button type="submit" class="button">
          Keep the name
        </button>
        <p role="status">{kept ? "Kept in this browser." : ""}</p>
      </form>
      <p class="soft">Alarms acknowledged here are logged under this name.</p>
    </section>
  );
}
