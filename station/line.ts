import type { StationPicture } from "./alarms/picture.js";
import type { DerivedValue } from "./conditions/deriver.js";
import type { AlarmTransition } from "./model/alarm.js";
import type { Instant } from "./model/instant.js";
import type { RawReading, Reading } from "./model/reading.js";

/** What stands along the line, each known only by what is done with it here. */
export interface LineParts {
  readonly board: { take(raw: RawReading): readonly Reading[]; tick(now: Instant): readonly Reading[] };
  readonly deriver: { take(reading: Reading): readonly DerivedValue[] };
  readonly journal: { readings(batch: readonly Reading[]): void };
  readonly coolantLine: { take(reading: Reading): void };
  readonly coolantChannel: string | null;
  readonly runs: { take(reading: Reading, derived: readonly DerivedValue[]): void; tick(now: Instant): void };
  readonly alarms: { update(picture: StationPicture): readonly AlarmTransition[] };
  readonly picture: (now: Instant) => StationPicture;
  /** Keeps and announces what changed. */
  readonly alarmsChanged: (transitions: readonly AlarmTransition[]) => void;
  readonly changed: () => void;
}

export interface Line {
  reading(raw: RawReading): void;
  /** Called at least once a second: time alone makes a channel stale, a delay run out, a run end. */
  tick(now: Instant): void;
  /** Looks at the alarms and the pages again, because something other than a reading has changed. */
  look(now: Instant): void;
}

/**
 * The one way a reading takes: judged, kept, derived from, stamped, watched by the alarms, shown. Left to right, once.
 * Nothing here waits: the journal takes a reading into memory, and an alarm is out before the disk has heard of it.
 */
export function createLine(parts: LineParts): Line {
  const pass = (reading: Reading) => {
    parts.journal.readings([reading]);
    if (reading.channel === parts.coolantChannel) parts.coolantLine.take(reading);
    parts.runs.take(reading, parts.deriver.take(reading));
  };
  const watch = (now: Instant) => {
    const transitions = parts.alarms.update(parts.picture(now));
    if (transitions.length > 0) parts.alarmsChanged(transitions);
    parts.changed();
  };
  return {
    reading(raw) {
      const readings = parts.board.take(raw);
      if (readings.length === 0) return;
      for (const reading of readings) pass(reading);
      watch(raw.at);
    },
    tick(now) {
      for (const reading of parts.board.tick(now)) pass(reading);
      parts.runs.tick(now);
      watch(now);
    },
    look: watch,
  };
}
