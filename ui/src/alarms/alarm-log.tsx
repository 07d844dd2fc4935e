import { useEffect, useRef, useState } from "preact/hooks";
import type { AlarmTransitionKind } from "../../../station/model/alarm.js";
import { ask, type LoggedTransition, type Refusal, refusalOf } from "../link/ask.js";
import { now, standing, start } from "../link/live.js";
import { PriorityMark } from "../marks/priority.js";
import { RefusalText } from "../marks/refusal.js";
import { isoText, secondText } from "../words/time.js";

const TRANSITION_WORDS: Readonly<Record<AlarmTransitionKind, string>> = {
  raised: "raised",
  acknowledged: "acknowledged",
  returned: "gone again, not acknowledged",
  "returned-to-normal": "back to normal",
};

/** Changes with every change of state of any alarm: the moment to look at the log again. */
function fingerprint(): string {
  return standing.value.map(({ alarm, state, raisedWall }) => `${alarm} ${state} ${raisedWall}`).join(";");
}

interface Held {
  readonly transitions: readonly LoggedTransition[];
  readonly more: boolean;
}

function useLog() {
  const [held, setHeld] = useState<Held | null>(null);
  const [refusal, setRefusal] = useState<Refusal | null>(null);
  const round = useRef(0);
  const fetchFrom = async (before: number | null) => {
    const mine = before === null ? ++round.current : round.current;
    setRefusal(null);
    try {
      const answer = await ask.alarmLog(before);
      if (mine !== round.current) return;
      setHeld((was) =>
        before === null || was === null
          ? answer
          : { transitions: [...was.transitions, ...answer.transitions], more: answer.more },
      );
    } catch (reason) {
      if (mine === round.current) setRefusal(refusalOf(reason));
    }
  };
  useEffect(() => {
    void fetchFrom(null);
  }, [start.value, fingerprint()]);
  return {
    held,
    refusal,
    again: () => void fetchFrom(null),
    earlier: () => void fetchFrom(held?.transitions.at(-1)?.seq ?? null),
  };
}

export function AlarmLog() {
  const { held, refusal, again, earlier } = useLog();
  const today = now.value?.wall ?? Date.now();
  return (
    <section class="card" aria-labelledby="log-title">
      <h2 id="log-title">Log</h2>
      <RefusalText refusal={refusal} again={again} />
      {held?.transitions.length === 0 && <p>No alarm has been raised yet.</p>}
      {held !== null && held.transitions.length > 0 && (
        <>
          <ol class="log" data-testid="alarm-log">
            {held.transitions.map((t) => (
              <li key={t.id}>
                <time dateTime={isoText(t.wall)}>{secondText(t.wall, today)}</time>
                <PriorityMark priority={t.priority} />
                <p>
                  <strong>{t.title}</strong> {TRANSITION_WORDS[t.transition]}
                  {t.by !== null && ` by ${t.by}`}
                  {t.detail !== "" && <span class="soft log-detail">{t.detail}</span>}
                </p>
              </li>
            ))}
          </ol>
          {held.more && (
            <button type="button" class="button" onClick={earlier}>
              Load earlier entries
            </button>
          )}
        </>
      )}
    </section>
  );
}
