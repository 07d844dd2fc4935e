import type { PropertyId } from "../../../station/model/grade.js";
import { PROPERTIES, propertyOf } from "../../../station/model/grade.js";
import type { GivenGrade } from "../../../station/model/specimen.js";
import { Sign } from "../marks/signs.js";
import { GivenLine } from "./given-line.js";

export interface CardProps {
  readonly id: PropertyId;
  readonly given: GivenGrade | undefined;
  /** It has not reached the station yet. */
  readonly waits: boolean;
  readonly today: number;
  readonly put: (id: PropertyId, value: number | null) => void;
}

/** The anchor of a property on its page. */
export function cardId(id: PropertyId): string {
  return `property-${id}`;
}

/** A property that is judged: its grades as buttons, best first, the chosen one with a sign and a word. */
export function GradeCard({ id, given, waits, today, put }: CardProps) {
  const property = propertyOf(id);
  if (property.as !== "grade") return null;
  return (
    <section class="card grade-card" aria-labelledby={cardId(id)} data-testid={`grade-${id}`}>
      <h2 id={cardId(id)} tabIndex={-1}>
        {property.name}
      </h2>
      <p class="soft">{PROPERTIES[id].how}</p>
      <ul class="grades">
        {property.grades.map(({ word, sentence }, place) => {
          const chosen = given?.value === place;
          return (
            <li key={word}>
              <button
                type="button"
                class="grade"
                aria-pressed={chosen}
                data-testid={`grade-${id}-${place}`}
                onClick={() => put(id, place)}
              >
                <span class="grade-mark">{chosen && <Sign name="chosen" />}</span>
                <span class="grade-words">
                  <span class="grade-word">
                    {word}
                    {chosen && <span class="grade-chosen">given</span>}
                  </span>
                  <span>{sentence}</span>
                </span>
              </button>
            </li>
          );
        })}
      </ul>
      <GivenLine id={id} given={given} waits={waits} today={today} put={put} />
    </section>
  );
}
