import { useEffect, useRef, useState } from "preact/hooks";
import { useLocation } from "preact-iso/router";
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
  latched: "gone again, held until it is reset",
  reset: "reset",
  "re-alarmed": "still there, sounds again",
  chattering: "comes and goes, held until it is quiet for a minute",
  shelved: "shelved",
  unshelved: "off the shelf",
  suppressed: "suppressed by design",
  unsuppressed: "no longer suppressed",
  "out-of-service": "taken out of service",
  "in-service": "put back in service",
};

/** Changes with every change of state of any alarm: the moment to look at the log again. */
function fingerprint(): string {
  const silent = now.value?.suppressed ?? [];
  return [
    ...standing.value.map(({ alarm, state, raisedWall }) => `${alarm} ${state} ${raisedWall}`),
    ...silent.map(({ alarm, state }) => `${alarm} ${state}`),
  ].join(";");
}

/** A change is on the pages before the disk has it, so the log is looked at once more. */
const LOOK_AGAIN_MS = 2_000;

interface Held {
  readonly transitions: readonly LoggedTransition[];
  readonly more: boolean;
}

/** How many later entries are shown over one that was asked for. */
const LATER_SHOWN = 10;

/** The entry that the address asks for, by its place in the log; null for none. */
function useEntry(): number | null {
  const { entry } = useLocation().query;
  return entry !== undefined && /^\d{1,15}$/.test(entry) ? Number(entry) : null;
}

/** @param entry begins the list a little after this one, instead of with the latest */
function useLog(entry: number | null) {
  const [held, setHeld] = useState<Held | null>(null);
  const [refusal, setRefusal] = useState<Refusal | null>(null);
  const round = useRef(0);
  const reading = useRef(false);
  const fetchFrom = async (last: number | null) => {
    reading.current = last !== null;
    const mine = last === null ? ++round.current : round.current;
    setRefusal(null);
    try {
      const answer = await ask.alarmLog(last ?? (entry === null ? null : entry + LATER_SHOWN + 1));
      if (mine !== round.current) return;
      setHeld((was) =>
        last === null || was === null
          ? answer
          : { transitions: [...was.transitions, ...answer.transitions], more: answer.more },
      );
    } catch (reason) {
      if (mine === round.current) setRefusal(refusalOf(reason));
    }
  };
  useEffect(() => {
    void fetchFrom(null);
    if (entry !== null) return;
    const again = setTimeout(() => {
      // Whoever has loaded earlier entries is reading them.
      if (!reading.current) void fetchFrom(null);
    }, LOOK_AGAIN_MS);
    return () => clearTimeout(again);
  }, [start.value, entry, entry === null ? fingerprint() : ""]);
  return {
    held,
    refusal,
    again: () => void fetchFrom(null),
    earlier: () => void fetchFrom(held?.transitions.at(-1)?.seq ?? null),
  };
}

export function AlarmLog() {
  const entry = useEntry();
  const { held, refusal, again, earlier } = useLog(entry);
  const wanted = useRef<HTMLLIElement>(null);
  const there = held?.transitions.some(({ seq }) => seq === entry) ?? false;
  useEffect(() => {
    if (!there) return;
    wanted.current?.focus({ preventScroll: true });
    wanted.current?.scrollIntoView({ block: "center" });
  }, [entry, there]);
  const today = now.value?.wall ?? Date.now();
  return (
    <section class="card" aria-labelledby="log-title">
      <h2 id="log-title">Log</h2>
      <RefusalText refusal={refusal} again={again} />
      {entry !== null && (
        <p class="log-from">
          {held !== null && !there && "There is no such entry in this log. "}
          <a class="button" href="/alarms">
            Show the latest entries
          </a>
        </p>
      )}
      {held?.transitions.length === 0 && <p>No alarm has been raised yet.</p>}
      {held !== null && held.transitions.length > 0 && (
        <>
          <ol class="log" data-testid="alarm-log">
            {held.transitions.map((t) => (
              <li
                key={t.id}
                {...(t.seq === entry ? { ref: wanted, class: "log-wanted", tabIndex: -1 } : {})}
                data-testid={`log-${t.seq}`}
              >
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
