import { defineChannel } from "../../../station/channels/define.js";
import type { ChannelDefinition, ChannelEntry } from "../../../station/model/channel.js";
import type { Instant } from "../../../station/model/instant.js";
import type { Reading, Reason } from "../../../station/model/reading.js";
import { REASONS } from "../../../station/model/reading.js";

const ENTRIES: readonly ChannelEntry[] = [
  { id: "coolant", kind: "coolant-inlet", source: "bench" },
  { id: "second-coolant", kind: "coolant-inlet", source: "bench" },
  { id: "room-t", kind: "room-temperature", source: "bench" },
  { id: "room-rh", kind: "room-humidity", source: "bench", valid: [0, 105] },
  { id: "fan", name: "Fan", kind: "extraction-speed", source: "bench" },
  { id: "duct", name: "Duct", kind: "extraction-pressure", source: "bench" },
  { id: "air", name: "Air", kind: "extraction-airflow", source: "bench" },
  { id: "vane", name: "Vane switch", kind: "extraction-running", source: "bench" },
  { id: "lid", kind: "lid-open", source: "bench" },
  { id: "laser", kind: "laser-on", source: "bench" },
];

/** Channels of a well fitted station; those named are left out. */
export function channelsBut(...left: string[]): ChannelDefinition[] {
  return ENTRIES.filter(({ id }) => !left.includes(id)).map(defineChannel);
}

export function channelsOf(...ids: string[]): ChannelDefinition[] {
  return ENTRIES.filter(({ id }) => ids.includes(id)).map(defineChannel);
}

export function instant(mono: number): Instant {
  return { wall: 1_750_000_000_000 + mono, mono };
}

export function good(channel: string, mono: number, value: number): Reading {
  return { channel, at: instant(mono), value, quality: "good", reason: null };
}

/** A reading that is not good: without a value where the reason is one of no value. */
export function poor(channel: string, mono: number, reason: Reason, value = 0): Reading {
  const { quality } = REASONS[reason];
  return { channel, at: instant(mono), value: quality === "bad" ? null : value, quality, reason };
}
