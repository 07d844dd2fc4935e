import type { CoolantTrend } from "../conditions/coolant-trend.js";
import type { MarginForecast } from "../conditions/margin-forecast.js";
import type { AfterCut } from "../model/after-cut.js";
import type { BackupsState } from "../model/backup.js";
import type { ChannelDefinition } from "../model/channel.js";
import type { DiskView } from "../model/disk.js";
import type { FilterView } from "../model/filter.js";
import type { ClockState, Instant } from "../model/instant.js";
import type { ExtractionView } from "../model/now.js";
import type { ChannelKind } from "../model/quantity.js";
import { type Quality, REASONS, type Reading } from "../model/reading.js";
import type { SoundnessView } from "../model/soundness.js";
import type { CoolantRange } from "./entry.js";
import { duration } from "./wording.js";

export interface PicturedChannel {
  readonly definition: ChannelDefinition;
  /** The latest reading of any quality; null when there has been none since the start. */
  readonly reading: Reading | null;
}

/** Everything the alarms are judged from, at one moment. */
export interface StationPicture {
  readonly now: Instant;
  readonly channels: readonly PicturedChannel[];
  /** Condensation margin, °C: coolant minus dew point. */
  readonly margin: { readonly value: number | null; readonly quality: Quality };
  readonly extraction: ExtractionView;
  readonly trend: CoolantTrend;
  /** How high the coolant has been within the last hour, °C; null where that says nothing of how high it goes. */
  readonly usualHeightC: number | null;
  /** How the margin goes, and the least one to cut with, °C; null where it cannot be told. */
  readonly marginAhead: MarginForecast | null;
  readonly leastMarginC: number;
  readonly afterCut: AfterCut;
  /** Null where no sensor watches it, or it has not been looked at yet. */
  readonly filter: FilterView | null;
  /** Null where no sensor tells. */
  readonly lidOpen: boolean | null;
  /** The open run, with the `mono` it started at; null when none is. */
  readonly run: { readonly id: string; readonly startMono: number } | null;
  readonly laserOn: boolean;
  readonly coolantRange: CoolantRange;
  readonly journal: {
    readonly writing: boolean;
    /** Readings wait in memory, because the disk has no room for them. */
    readonly held: boolean;
    /** The disk takes its time. */
    readonly slow: boolean;
    readonly text: string;
  };
  readonly soundness: SoundnessView;
  readonly disk: DiskView;
  readonly backups: BackupsState;
  /** Whether the wall clock may be held against times of other days. */
  readonly clock: ClockState;
}

/** Cutting: a run is open, or the laser is on whether or not anybody opened a run. */
export function isCutting(picture: StationPicture): boolean {
  return picture.run !== null || picture.laserOn;
}

/** What one channel says now: a number to judge by, or a sentence part on why there is none. */
export type Sight =
  | { readonly seen: "value"; readonly value: number }
  | { readonly seen: "nothing-yet" }
  | { readonly seen: "dead"; readonly why: string };

/**
 * A reading counts while it is good or uncertain and no older than the channel's stale time. Age is checked here as well
 * as where readings are judged, so that a source that simply falls quiet cannot leave an old value standing.
 * @param sinceMono when the alarms began to look, `mono` milliseconds: a channel never read is dead only after its stale time
 */
export function sight({ definition, reading }: PicturedChannel, now: Instant, sinceMono: number): Sight {
  const staleMs = definition.staleAfterS * 1000;
  if (reading === null || reading.reason === "never-read") {
    const waited = now.mono - sinceMono;
    return waited > staleMs
      ? { seen: "dead", why: `nothing has been read in the ${duration(waited)} since the start` }
      : { seen: "nothing-yet" };
  }
  const age = now.mono - reading.at.mono;
  if (reading.quality === "bad" || reading.value === null) {
    return {
      seen: "dead",
      why: reading.reason === null ? "it gives no value" : REASONS[reading.reason].text,
    };
  }
  if (age > staleMs) return { seen: "dead", why: `no new reading for ${duration(age)}` };
  return { seen: "value", value: reading.value };
}

/** The channels of a kind that say something, with what they say. */
export function seenOf(
  picture: StationPicture,
  kind: ChannelKind,
  sinceMono: number,
): readonly { readonly name: string; readonly value: number }[] {
  return picture.channels.flatMap((channel) => {
    if (channel.definition.kind !== kind) return [];
    const what = sight(channel, picture.now, sinceMono);
    return what.seen === "value" ? [{ name: channel.definition.name, value: what.value }] : [];
  });
}
