import { STAMP_CHANNELS_PATH, subjectOfRun } from "./journal/exchange/brought.js";
import { eachRow } from "./journal/pages.js";
import type { JournalReader } from "./journal/reader.js";
import type { ChannelDefinition } from "./model/channel.js";
import { SETTINGS_SUBJECT } from "./setting-changes.js";
import type { KeptRules } from "./trials/past-rules.js";

/** What the journal keeps of the rules that runs were stamped by. */
export async function keptRules(
  reader: Pick<JournalReader, "changesAfter" | "definitions">,
): Promise<KeptRules> {
  const prefix = subjectOfRun("");
  const lists: { session: number; definitions: readonly ChannelDefinition[] }[] = [];
  const brought = new Map<string, readonly ChannelDefinition[]>();
  for await (const { subject, path, session, new: value } of eachRow(reader.changesAfter, (row) => row.id)) {
    // Written by this program from definitions it had checked, and read back by the same.
    if (!Array.isArray(value)) continue;
    if (subject === SETTINGS_SUBJECT && path === "channels") lists.push({ session, definitions: value });
    if (path === STAMP_CHANNELS_PATH && subject.startsWith(prefix)) {
      brought.set(subject.slice(prefix.length), value);
    }
  }
  return { brought, lists, single: await reader.definitions() };
}
