import type { ChannelDefinition } from "../model/channel.js";
import type { Stamp } from "../model/run.js";
import type { StampRules } from "./stamp.js";

/** What each start of the station changed, as the journal keeps it. */
export interface KeptRules {
  /** The whole list of channels, where a start found it changed; oldest first. */
  readonly lists: readonly { readonly session: number; readonly definitions: readonly ChannelDefinition[] }[];
  /** One channel each, where a start found it new or changed; oldest first. */
  readonly single: readonly { readonly session: number; readonly definition: ChannelDefinition }[];
}

/**
 * The rules a run was stamped by. The coolant range and the least share of good data stand in its stamp; the channels are
 * those in force at the start of the station that the run belongs to.
 * @returns null where the journal does not know the channels of that time
 */
export function rulesOf(stamp: Stamp, session: number, kept: KeptRules): StampRules | null {
  const { coolantRange, minGoodShare } = stamp;
  const list = kept.lists.findLast((each) => each.session <= session);
  if (list !== undefined) return { definitions: list.definitions, coolantRange, minGoodShare };
  const newest = new Map<string, ChannelDefinition>();
  for (const each of kept.single) {
    if (each.session <= session) newest.set(each.definition.id, each.definition);
  }
  const definitions: ChannelDefinition[] = [];
  // A stamp keeps its channels in the order of their definitions, which is also that of its flags.
  for (const id of Object.keys(stamp.channels)) {
    const definition = newest.get(id);
    if (definition === undefined) return null;
    definitions.push(definition);
  }
  return { definitions, coolantRange, minGoodShare };
}
