import type { ChannelDefinition } from "../model/channel.js";
import type { Run } from "../model/run.js";
import type { StampRules } from "./stamp.js";

/** What each start of the station changed, as the journal keeps it. */
export interface KeptRules {
  /** Of runs that came from another journal: the channels they were stamped with, by the id of the run. */
  readonly brought: ReadonlyMap<string, readonly ChannelDefinition[]>;
  /** The whole list of channels, where a start found it changed; oldest first. */
  readonly lists: readonly { readonly session: number; readonly definitions: readonly ChannelDefinition[] }[];
  /** One channel each, where a start found it new or changed; oldest first. */
  readonly single: readonly { readonly session: number; readonly definition: ChannelDefinition }[];
}

/** The channels a run was stamped with; null where the journal does not know them. */
export function channelsOfRun(
  run: Run,
  session: number,
  kept: KeptRules,
): readonly ChannelDefinition[] | null {
  const brought = kept.brought.get(run.id);
  if (brought !== undefined) return brought;
  const list = kept.lists.findLast((each) => each.session <= session);
  if (list !== undefined) return list.definitions;
  if (run.stamp === null) return null;
  const newest = new Map<string, ChannelDefinition>();
  for (const each of kept.single) {
    if (each.session <= session) newest.set(each.definition.id, each.definition);
  }
  const definitions: ChannelDefinition[] = [];
  // A stamp keeps its channels in the order of their definitions, which is also that of its flags.
  for (const id of Object.keys(run.stamp.channels)) {
    const definition = newest.get(id);
    if (definition === undefined) return null;
    definitions.push(definition);
  }
  return definitions;
}

/**
 * The rules a run was stamped by. The coolant range and the least share of good data stand in its stamp; the channels are
 * those in force at the start of the station that the run belongs to.
 * @returns null for a run without a stamp, and where the journal does not know the channels of that time
 */
export function rulesOf(run: Run, session: number, kept: KeptRules): StampRules | null {
  const definitions = channelsOfRun(run, session, kept);
  if (run.stamp === null || definitions === null) return null;
  const { coolantRange, minGoodShare } = run.stamp;
  return { definitions, coolantRange, minGoodShare };
}
