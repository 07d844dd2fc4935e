import type { StationPicture } from "./alarms/picture.js";
import type { DerivedValue } from "./conditions/deriver.js";
import type { AlarmTransition } from "./model/alarm.js";
import type { Instant } from "./model/instant.js";
import type { RawReading, Reading } from "./model/reading.js";

/** What stands along the line, each known only by what is done with it here. */
export interface LineParts {
  readonly board: {
    begin(now: Instant): readonly Reading[];
    take(raw: RawReading): readonly Reading[];
    tick(now: Instant): readonly Reading[];
  };
  readonly deriver: {
    take(reading: Reading): readonly DerivedValue[];
    extraction(): { readonly state: "running" | "stopped" | "unknown" };
  };
  readonly journal: { readings(batch: readonly Reading[]): void };
  readonly coolantLine: { take(reading: Reading): void };
  readonly outlook: { take(reading: Reading, derived: readonly DerivedValue[]): void };
  readonly coolantChannel: string | null;
  readonly runs: {
    take(
      reading: Reading,
      derived: readonly DerivedValue[],
      extraction: "running" | "stopped" | "unknown",
    ): void;
    tick(now: Instant): void;
  };
  readonly alarms: { update(picture: StationPicture): readonly AlarmTransition[] };
  readonly picture: (now: Instant) => StationPicture;
  /** Keeps and announces what changed. */
  readonly alarmsChanged: (transitions: readonly AlarmTransition[]) => void;
  readonly changed: () => void;
}

export interface Line {
  /** Called once, before any source is started: whatever was in force before this start no longer is. */
  begin(now: Instant): void;
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
    const derived = parts.deriver.take(reading);
    parts.outlook.take(reading, derived);
    parts.runs.take(reading, derived, parts.deriver.extraction().state);
  };
  const watch = (now: Instant) => {
    const transitions = parts.alarms.update(parts.picture(now));
    if (transitions.length > 0) parts.alarmsChanged(transitions);
    parts.changed();
  };
  return {
    begin(now) {
      for (const reading of parts.board.begin(now)) pass(reading);
    },
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
