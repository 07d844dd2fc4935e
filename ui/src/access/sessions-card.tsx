import type { AccessView, SessionView } from "../../../station/model/access.js";
import { useDoing } from "../link/asked.js";
import { now } from "../link/live.js";
import { RefusalText } from "../marks/refusal.js";
import { ageText, isoText, whenText } from "../words/time.js";
import { askAccess } from "./ask-access.js";

/** Where somebody is signed in; each can be put an end to. */
export function SessionsCard({
  sessions,
  took,
}: {
  sessions: readonly SessionView[];
  took: (view: AccessView) => void;
}) {
  const { busy, refusal, attempt } = useDoing();
  const wall = now.value?.wall ?? Date.now();
  return (
    <section class="card" aria-labelledby="sessions-title">
      <h2 id="sessions-title">Signed in</h2>
      <ul class="access-list" data-testid="sessions">
        {sessions.map((session) => (
          <li key={session.id}>
            <span>
              <strong>{session.name}</strong> {session.this && "(this screen) "}
              <span class="soft">
                {session.role}, {session.kind}
                {session.person !== null && session.person !== session.name && ` by ${session.person}`}, from{" "}
                {session.address}, since{" "}
                <time dateTime={isoText(session.sinceWall)}>{whenText(session.sinceWall, wall)}</time>, last
                used {ageText(session.idleMs)} ago
              </span>
            </span>
            {!session.this && (
              <button
                type="button"
                class="button"
                aria-disabled={busy}
                onClick={() => void attempt(async () => took(await askAccess.endSession(session.id)))}
              >
                Sign out<span class="unseen"> {session.name}</span>
              </button>
            )}
          </li>
        ))}
      </ul>
      <RefusalText refusal={refusal} />
      <button
        type="button"
        class="button"
        data-testid="end-others"
        aria-disabled={busy}
        onClick={() => void attempt(async () => took(await askAccess.endOthers()))}
      >
        Sign out everybody but this screen
      </button>
    </section>
  );
}
