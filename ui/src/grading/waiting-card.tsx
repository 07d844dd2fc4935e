import { Sign } from "../marks/signs.js";
import { ageText, isoText, whenText } from "../words/time.js";
import { dismiss, keeping, looked, promised, sendNow, trouble, waiting } from "./outbox.js";
import { subjectWord, type Tally, tallyOf, type Waiting } from "./waiting.js";
import { enteredWords, tallyWords } from "./words.js";

const WORTH_SAYING_MS = 60_000;

/** What was not sent yet in a sentence; says nothing where nothing waits. */
export function WaitingLine({ tally, wall }: { tally: Tally; wall: number }) {
  if (tally.count === 0 || tally.since === null) return null;
  const age = wall - tally.since;
  return (
    <p class="waiting-line" data-testid="waiting-line">
      <Sign name="clock" />
      <span>
        <strong>{tallyWords(tally)}</strong> for the station since{" "}
        <time dateTime={isoText(tally.since)}>{whenText(tally.since, wall)}</time>
        {age >= WORTH_SAYING_MS && `, for ${ageText(age)}`}.
      </span>
    </p>
  );
}

function Line({ item, wall }: { item: Waiting; wall: number }) {
  return (
    <li>
      <strong class="waiting-code">{subjectWord(item)}</strong> <span>{enteredWords(item)}</span>{" "}
      <time class="soft" dateTime={isoText(item.enteredWall)}>
        {whenText(item.enteredWall, wall)}
      </time>
    </li>
  );
}

/** What the station would not take, with its words, until somebody has read them. */
export function Refused({ wall }: { wall: number }) {
  const refused = waiting.value.filter((item) => item.refused !== null);
  return (
    <>
      {refused.map((item) => (
        <div class="refusal" role="alert" key={item.entry} data-testid="refused">
          <p>
            Not taken: {subjectWord(item)}, {enteredWords(item)} ({whenText(item.enteredWall, wall)})
          </p>
          <p>{item.refused}</p>
          <button type="button" class="button" data-testid="dismiss" onClick={() => void dismiss(item)}>
            I have read it: remove it
          </button>
        </div>
      ))}
    </>
  );
}

/** All that waits in this browser, and what holds for it. */
export function WaitingCard({ wall }: { wall: number }) {
  const items = waiting.value.filter((item) => item.refused === null);
  const tally = tallyOf(waiting.value);
  return (
    <section class="card" aria-labelledby="waiting-title" data-testid="waiting">
      <h2 id="waiting-title">What waits</h2>
      {items.length === 0 ? (
        looked.value && <p>Nothing: the station has everything that was entered here.</p>
      ) : (
        <>
          <WaitingLine tally={tally} wall={wall} />
          {trouble.value !== null && <p>{trouble.value} It is tried again by itself.</p>}
          <button type="button" class="button send-now" data-testid="send-now" onClick={sendNow}>
            Try now
          </button>
          <details>
            <summary>Each of them, in the order in which it is sent</summary>
            <ol class="waiting-list">
              {items.map((item) => (
                <Line key={item.entry} item={item} wall={wall} />
              ))}
            </ol>
          </details>
        </>
      )}
      <KeepingWords />
    </section>
  );
}

/** What holds without a connection, plainly. */
export function KeepingWords() {
  if (keeping.value === "page")
    return (
      <p class="refusal" role="alert" data-testid="keeps-nothing">
        This browser keeps nothing: it may be a private window. What you enter is sent at once; what waits is
        lost when this page is closed. Use a window that is not private.
      </p>
    );
  return (
    <p class="soft">
      Without a connection a page that is open goes on: what you enter waits in this browser, also when the
      page is closed, and is sent when a page of the station is opened again. Opening a page, or loading it
      again, needs the connection.
      {promised.value === false &&
        " The browser has not promised to keep it should the phone run out of room: do not clear its data while something waits."}
    </p>
  );
}
