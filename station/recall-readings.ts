import { OUTLOOK_PAST_MS, outlookChannels } from "./conditions/outlook.js";
import type { JournalReader } from "./journal/reader.js";
import type { ReplayRequest } from "./journal/reader-calls.js";
import type { ChannelDefinition } from "./model/channel.js";
import type { Reading } from "./model/reading.js";
import { REPLAY_LEAD_MS } from "./trials/replay.js";

/**
 * A boot's readings before a moment, for what goes by the past: all of the last 20 minutes, and before those the rest of an hour of
 * the few channels that an outlook has. With less of it, a fall of the coolant that has ended would pass for one that goes on.
 * @param mono the moment, monotonic ms
 */
export async function readingsBefore(
  reader: Pick<JournalReader, "readingsForReplay">,
  { bootId, mono, definitions }: BeforeMoment,
): Promise<Reading[]> {
  const lately = mono - REPLAY_LEAD_MS;
  const windowOf = async (window: ReplayRequest) => {
    const readings: Reading[] = [];
    for await (const block of reader.readingsForReplay(window))
      for (const reading of block) readings.push(reading);
    return readings;
  };
  const channels = outlookChannels(definitions);
  const older = await windowOf({ bootId, fromMono: mono - OUTLOOK_PAST_MS, toMono: lately, channels });
  const later = await windowOf({ bootId, fromMono: lately, toMono: mono });
  // Both ends of a window are in it: what lies where they meet comes once.
  return [...older.filter(({ at }) => at.mono < lately), ...later];
}

export interface BeforeMoment {
  readonly bootId: string;
  readonly mono: number;
  readonly definitions: readonly ChannelDefinition[];
}
