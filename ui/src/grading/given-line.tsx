import type { GivenGrade } from "../../../station/model/specimen.js";
import { Sign } from "../marks/signs.js";
import { isoText, whenText } from "../words/time.js";
import type { CardProps } from "./grade-card.js";
import { otherScreens } from "./two-screens.js";
import { valueWords } from "./words.js";

function Moment({ wall, today }: { wall: number; today: number }) {
  return <time dateTime={isoText(wall)}>{whenText(wall, today)}</time>;
}

function Was({
  id,
  before,
  today,
}: {
  id: CardProps["id"];
  before: GivenGrade["before"][number];
  today: number;
}) {
  return (
    <>
      {valueWords(id, before.value)} (<Moment wall={before.wall} today={today} />
      {before.by !== null && `, ${before.by}`})
    </>
  );
}

/** Two screens said something: only the one that came in last counts, though it may have been entered before the other. */
function OtherScreen({ id, given, today }: { id: CardProps["id"]; given: GivenGrade; today: number }) {
  const other = otherScreens(given);
  if (other === null) return null;
  return (
    <p class="given-other" data-testid={`other-${id}`}>
      <Sign name="note" />{" "}
      <span>
        <strong>{other.by ?? "Another screen"}</strong> said {valueWords(id, other.value)} at{" "}
        <Moment wall={other.wall} today={today} />
        {given.wall < other.wall && ", which is later, but it came in first"}. Only{" "}
        <strong>{valueWords(id, given.value)}</strong> counts, because it came in last. Is it right? If not,
        give it again.
      </span>
    </p>
  );
}

/** When it was given and by whom, what it was before, and the way to take it back. Its room is there from the start. */
export function GivenLine({ id, given, waits, today, put }: CardProps) {
  const [last, ...older] = given?.before ?? [];
  return (
    <div class="given" data-testid={`given-${id}`}>
      <div class="given-words" aria-live="polite">
        {given === undefined ? (
          <p class="soft">Not given yet.</p>
        ) : (
          <p>
            {waits ? (
              <strong class="given-waits">
                <Sign name="clock" /> waits here
              </strong>
            ) : (
              "Kept"
            )}
            , <Moment wall={given.wall} today={today} />
            {given.by !== null && `, ${given.by}`}
          </p>
        )}
        {given !== undefined && <OtherScreen id={id} given={given} today={today} />}
        {last !== undefined && (
          <p class="given-before">
            Was: <Was id={id} before={last} today={today} />
          </p>
        )}
        {older.length > 0 && (
          <details class="given-before">
            <summary>And before that</summary>
            <ul>
              {older.map((each) => (
                <li key={`${each.wall} ${each.value}`}>
                  <Was id={id} before={each} today={today} />
                </li>
              ))}
            </ul>
          </details>
        )}
      </div>
      {given !== undefined && (
        <button
          type="button"
          class="button take-back"
          data-testid={`take-back-${id}`}
          onClick={() => put(id, null)}
        >
          Take back
        </button>
      )}
    </div>
  );
}
