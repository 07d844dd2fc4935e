import type { StandingAlarm, SuppressedAlarm } from "../../../station/model/alarm.js";
import type { NowSnapshot } from "../../../station/model/now.js";
import { Acknowledge } from "../alarms/acknowledge.js";
import { isLoud } from "../alarms/alarm-card.js";
import { topFirst } from "../alarms/order.js";
import { suppressedText } from "../alarms/suppressed.js";
import { PriorityMark } from "../marks/priority.js";
import { Sign } from "../marks/signs.js";
import { whenText } from "../words/time.js";
import { unbroken } from "../words/unbroken.js";

/**
 * The alarm that matters most, over everything else on the page. The row is there without an alarm too, so that no button
 * slides under a finger when one comes.
 */
export function TopAlarm({ now }: { now: NowSnapshot }) {
  const [top, ...others] = topFirst(now.alarms);
  if (top === undefined) {
    return (
      <section class="top-alarm top-alarm-none" aria-label="Alarms">
        <p>No alarm is standing.</p>
        <KeptSilent alarms={now.suppressed ?? []} />
        {(!now.journal.writing || now.journal.held) && <JournalTrouble text={now.journal.text} />}
      </section>
    );
  }
  return (
    <section
      class={`top-alarm edge-${top.priority} ${isLoud(top) ? "alarm-loud" : ""}`}
      aria-label="Most serious alarm"
      data-testid={`alarm-${top.alarm}`}
    >
      <div class="top-alarm-words">
        <header>
          <h2>
            <PriorityMark priority={top.priority} /> <span>{top.title}</span>
          </h2>
          <p class="top-alarm-since">since {whenText(top.raisedWall, now.wall)}</p>
          {others.length > 0 && (
            <a class="more-alarms" href="/alarms">
              {others.length === 1 ? "1 more alarm" : `${others.length} more alarms`}
            </a>
          )}
          <KeptSilent alarms={now.suppressed ?? []} />
        </header>
        {GONE[top.state] !== undefined ? (
          // What to do about it is no order any more.
          <p>{GONE[top.state]}</p>
        ) : (
          <>
            <p class="top-alarm-detail">{unbroken(top.detail)}</p>
            <p class="top-alarm-action">{top.action}</p>
          </>
        )}
      </div>
      <Acknowledge alarm={top} />
    </section>
  );
}

const GONE: Partial<Readonly<Record<StandingAlarm["state"], string>>> = {
  "returned-unacknowledged": "It has gone again by itself. It stays here until somebody acknowledges it.",
  "latched-unacknowledged":
    "It has gone again by itself. It stays here until somebody acknowledges and resets it.",
  "latched-acknowledged": "It has gone again by itself. Look at what it may have done, then reset it.",
};

/** What people have silenced is in sight on the wall too; what is silent by design is on the page of alarms. */
function KeptSilent({ alarms }: { alarms: readonly SuppressedAlarm[] }) {
  const silent = alarms.filter(({ state }) => state !== "suppressed-by-design");
  const [first] = silent;
  if (first === undefined) return null;
  return (
    <a class="kept-silent" href="/alarms" data-testid="kept-silent">
      {silent.length === 1
        ? `${first.title}: ${suppressedText(first)}`
        : `${silent.length} alarms kept silent`}
    </a>
  );
}

function JournalTrouble({ text }: { text: string }) {
  return (
    <p class="journal-trouble">
      <Sign name="note" /> {text}
    </p>
  );
}
