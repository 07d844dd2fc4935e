import { PRIORITIES } from "../../../station/model/alarm.js";
import { PriorityShape } from "../marks/priority.js";
import { PRIORITY_WORDS } from "../marks/priority-words.js";
import { NameForm } from "../shell/name-form.js";
import { hear } from "../sound/annunciator.js";
import { PATTERNS } from "../sound/patterns.js";

/** What belongs to this browser alone: its sound, and the name it acknowledges under. */
export function ThisScreen() {
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
      <NameForm label="Name of this screen" />
      <p class="soft">Alarms acknowledged here are logged under this name.</p>
    </section>
  );
}
