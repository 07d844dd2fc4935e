import type { NowSnapshot } from "../../../station/model/now.js";
import { Acknowledge } from "../alarms/acknowledge.js";
import { topFirst } from "../alarms/order.js";
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
        {(!now.journal.writing || now.journal.held) && <JournalTrouble text={now.journal.text} />}
      </section>
    );
  }
  return (
    <section
      class={`top-alarm edge-${top.priority} ${top.state === "unacknowledged" ? "alarm-loud" : ""}`}
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
        </header>
        {top.state === "returned-unacknowledged" ? (
          // What to do about it is no order any more.
          <p>It has gone again by itself. It stays here until somebody acknowledges it.</p>
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

function JournalTrouble({ text }: { text: string }) {
  return (
    <p class="journal-trouble">
      <Sign name="note" /> {text}
    </p>
  );
}
