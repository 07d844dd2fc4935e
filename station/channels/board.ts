import type { ChannelDefinition } from "../model/channel.js";
import type { Instant } from "../model/instant.js";
import type { RawReading, Reading } from "../model/reading.js";
import { badReading, judge } from "./judge.js";

/** Where raw readings become readings of channels, and where a channel that has fallen silent is noticed. */
export interface ChannelBoard {
  readonly definitions: readonly ChannelDefinition[];
  /**
   * Judges a raw reading for every channel on that source and point.
   *
   * The readings of a channel come out in order of `mono`: one that is older than the latest is dropped, and so is an exact
   * repeat of it. Two different readings within one millisecond are both kept, in order of arrival, because a switch can
   * close and open that fast. A fault comes out at every report, and takes the place of the last good value at once.
   */
  take(raw: RawReading): readonly Reading[];
  /**
   * To be called once a second or so. A channel whose last value is older than its `staleAfterS` gives one bad reading with
   * reason `stale`; a channel that has given nothing in that time since the first tick gives one with reason `never-read`.
   * A channel that is bad already keeps its better reason.
   */
  tick(now: Instant): readonly Reading[];
  /** One bad reading with reason `never-read` for every channel: nothing is known from before this moment. */
  begin(now: Instant): readonly Reading[];
  /** The latest reading; null where nothing has been read yet, or there is no such channel. */
  latest(channelId: string): Reading | null;
}

/** @throws RangeError where two definitions share an id */
export function createChannelBoard(definitions: readonly ChannelDefinition[]): ChannelBoard {
  const latest = new Map<string, Reading>();
  const bySource = new Map<string, ChannelDefinition[]>();
  const ids = new Set<string>();
  let watchedSince: number | null = null;

  for (const definition of definitions) {
    if (ids.has(definition.id)) throw new RangeError(`two channels have the id "${definition.id}"`);
    ids.add(definition.id);
    const sharing = bySource.get(definition.source);
    if (sharing === undefined) bySource.set(definition.source, [definition]);
    else sharing.push(definition);
  }

  const take = (raw: RawReading): readonly Reading[] => {
    const taken: Reading[] = [];
    for (const definition of bySource.get(raw.source) ?? []) {
      if (definition.point !== null && definition.point !== raw.point) continue;
      const reading = judge(definition, raw);
      const before = latest.get(definition.id);
      if (before !== undefined && isLateOrRepeated(reading, before)) continue;
      latest.set(definition.id, reading);
      taken.push(reading);
    }
    return taken;
  };

  const begin = (now: Instant): readonly Reading[] => {
    watchedSince = now.mono;
    return definitions.map((definition) => {
      const reading = badReading(definition.id, now, "never-read");
      latest.set(definition.id, reading);
      return reading;
    });
  };

  const tick = (now: Instant): readonly Reading[] => {
    watchedSince ??= now.mono;
    const fallen: Reading[] = [];
    for (const definition of definitions) {
      const last = latest.get(definition.id);
      if (last?.quality === "bad") continue;
      if (now.mono - (last?.at.mono ?? watchedSince) <= definition.staleAfterS * 1000) continue;
      const reading = badReading(definition.id, now, last === undefined ? "never-read" : "stale");
      latest.set(definition.id, reading);
      fallen.push(reading);
    }
    return fallen;
  };

  return { definitions, begin, take, tick, latest: (channelId) => latest.get(channelId) ?? null };
}

function isLateOrRepeated(reading: Reading, before: Reading): boolean {
  if (reading.at.mono !== before.at.mono) return reading.at.mono < before.at.mono;
  return reading.value === before.value && reading.reason === before.reason;
}
