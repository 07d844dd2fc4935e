import { forecastFilter } from "./conditions/filter-loading.js";
import type { JournalReader } from "./journal/reader.js";
import type { ChannelDefinition } from "./model/channel.js";
import type { FilterView } from "./model/filter.js";
import type { Clock, Instant } from "./model/instant.js";
import type { ChannelKind } from "./model/quantity.js";

export interface FilterWatchParts {
  readonly definitions: readonly ChannelDefinition[];
  /** The drop at which it is changed, Pa. */
  readonly finalPa: () => number;
  readonly reader: Pick<JournalReader, "filterDays">;
  /** Wall time of the last change that was entered; null for none. */
  readonly lastChanged: () => Promise<number | null>;
  readonly clock: Clock;
  readonly failed: (error: unknown) => void;
}

export interface FilterWatch {
  view(): FilterView | null;
  /** Looks again when it is time; returns at once. */
  tick(now: Instant): void;
}

const EVERY_MS = 3_600_000;
/** After a start the charts come first. */
const FIRST_AFTER_MS = 60_000;
/** So much of the past is looked at, days: a filter's life in a small shop, and a few seconds' work for the reading thread. */
const LOOKED_DAYS = 60;

/** How full the extraction's filter is, looked up every hour over days of the journal, on the reading thread. */
export function createFilterWatch(parts: FilterWatchParts): FilterWatch {
  const { definitions, clock } = parts;
  const idOf = (kind: ChannelKind) => definitions.find((definition) => definition.kind === kind)?.id ?? null;
  const pressure = idOf("filter-pressure");
  const speed = idOf("extraction-speed");
  let view: FilterView | null = null;
  let next: number | null = null;

  const look = async (channel: string) => {
    // Days of a clock that nobody has set say nothing of when a filter is due.
    if (clock.state() === "not synchronised") return;
    const to = clock.now().wall;
    const from = to - LOOKED_DAYS * 86_400_000;
    const days = await parts.reader.filterDays({ pressure: channel, speed, from, to });
    view = forecastFilter(days, to, await parts.lastChanged(), parts.finalPa());
  };

  return {
    view: () => view,
    tick({ mono }) {
      if (pressure === null) return;
      next ??= mono + FIRST_AFTER_MS;
      if (mono < next) return;
      next = mono + EVERY_MS;
      look(pressure).catch(parts.failed);
    },
  };
}
