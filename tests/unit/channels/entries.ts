import { defineChannel } from "../../../station/channels/define.js";
import type { ChannelDefinition, ChannelEntry } from "../../../station/model/channel.js";
import type { Instant } from "../../../station/model/instant.js";

/** A coolant probe on source "probe", whatever its point, unless told otherwise. */
export function coolantEntry(change: Partial<ChannelEntry> = {}): ChannelEntry {
  return { id: "coolant-in", kind: "coolant-inlet", source: "probe", ...change };
}

export function coolantChannel(change: Partial<ChannelEntry> = {}): ChannelDefinition {
  return defineChannel(coolantEntry(change));
}

/** `mono` in milliseconds; the wall clock runs beside it. */
export function instant(mono: number): Instant {
  return { wall: 1_750_000_000_000 + mono, mono };
}
