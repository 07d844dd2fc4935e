import { OUTLOOK_PAST_MS, outlookChannels } from "./conditions/outlook.js";
import type { JournalReader } from "./journal/reader.js";
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
  const readings: Reading[] = [];
  const lately = mono - REPLAY_LEAD_MS;
  for (const window of [
    { bootId, fromMono: mono - OUTLOOK_PAST_MS, toMono: lately, channels: outlookChannels(definitions) },
    { bootId, fromMono: lately, toMono: mono },
  ])
    for await (const block of reader.readingsForReplay(window))
      for (const reading of block) readings.push(reading);
  return readings;
}

export interface BeforeMoment {
  readonly bootId: string;
  readonly mono: number;
  readonly definitions: readonly ChannelDefinition[];
}
