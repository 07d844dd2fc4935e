import type { StandingAlarm } from "../../../station/model/alarm.js";
import { PRIORITY_WORDS } from "../marks/priority-words.js";

/** What a screen reader is to say. */
export interface Told {
  /** Breaks off what is being read: a new alarm does, nothing else. */
  readonly atOnce: boolean;
  readonly words: string;
}

function isAnswered({ state }: StandingAlarm): boolean {
  return /(^|-)acknowledged$/.test(state);
}

function wordsOf(alarm: StandingAlarm): string {
  return `${PRIORITY_WORDS[alarm.priority]} alarm: ${alarm.title}. ${alarm.detail} ${alarm.action}`.replace(
    /\s+/g,
    " ",
  );
}

/** What has become of one alarm; null where nothing has that a person needs to hear. */
function became(before: StandingAlarm | undefined, alarm: StandingAlarm): Told | null {
  if (alarm.state === "unacknowledged") {
    const known = before?.state === "unacknowledged" && before.raisedWall === alarm.raisedWall;
    return known ? null : { atOnce: true, words: wordsOf(alarm) };
  }
  if (before === undefined || before.state === alarm.state) return null;
  if (isAnswered(alarm))
    return isAnswered(before) ? null : { atOnce: false, words: `Acknowledged: ${alarm.title}.` };
  return { atOnce: false, words: `Gone again, not acknowledged: ${alarm.title}.` };
}

/** What changed between two lists of the standing alarms, the new alarms first; a value that moves on is no change. */
export function toldOf(before: readonly StandingAlarm[], after: readonly StandingAlarm[]): readonly Told[] {
  const had = new Map(before.map((alarm) => [alarm.alarm, alarm]));
  const has = new Set(after.map(({ alarm }) => alarm));
  const changed = after.flatMap((alarm) => became(had.get(alarm.alarm), alarm) ?? []);
  const over = before
    .filter(({ alarm }) => !has.has(alarm))
    .map(({ title }) => ({ atOnce: false, words: `No longer standing: ${title}.` }));
  return [...changed, ...over].sort((a, b) => Number(b.atOnce) - Number(a.atOnce));
}
