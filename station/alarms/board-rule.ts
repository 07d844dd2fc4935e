import type { ChannelDefinition } from "../model/channel.js";
import type { Reason } from "../model/reading.js";
import type { Observation } from "./machine.js";
import { type PicturedChannel, type StationPicture, sight } from "./picture.js";

/**
 * A board is a source that several channels come from. When none of them gives a value it is the board that does not answer, its
 * cable or its power, and one alarm says so: those of its sensors are suppressed by design while it lasts (ISA-18.2, from memory).
 */

/** When each silent board was last seen to be silent, `mono` milliseconds, by source; those that answered long ago stay in it. */
export type SilentBoards = ReadonlyMap<string, number>;

const PREFIX = "board-silent:";

export function boardAlarmId(source: string): string {
  return PREFIX + source;
}

/** The sources that several channels come from, in the order of the channels. */
export function boardsOf(channels: readonly ChannelDefinition[]): readonly string[] {
  const sources = channels.map(({ source }) => source);
  return [...new Set(sources)].filter((source) => sources.indexOf(source) !== sources.lastIndexOf(source));
}

/** Carries forward which boards are silent. @param sinceMono when the alarms began to look */
export function listen(before: SilentBoards, picture: StationPicture, sinceMono: number): SilentBoards {
  const silent = boardsOf(picture.channels.map(({ definition }) => definition)).filter((board) =>
    isSilent(board, picture, sinceMono),
  );
  return new Map([...before, ...silent.map((board) => [board, picture.now.mono] as const)]);
}

/** None of its channels gives a value, and one has been waited for long enough. */
function isSilent(board: string, picture: StationPicture, sinceMono: number): boolean {
  const seen = channelsOf(board, picture).map((channel) => sight(channel, picture.now, sinceMono).seen);
  return !seen.includes("value") && seen.includes("dead");
}

function channelsOf(board: string, { channels }: StationPicture): readonly PicturedChannel[] {
  return channels.filter(({ definition }) => definition.source === board);
}

/**
 * A board answers once a value of it was seen. After a start nothing is known of it until then, or until it was waited for long
 * enough: one that was off before is not told to have come back only because the station has.
 */
export function boardSilent(
  alarm: string,
  picture: StationPicture,
  boards: SilentBoards,
  sinceMono: number,
): Omit<Observation, "holdMs"> {
  const board = alarm.slice(PREFIX.length);
  const its = channelsOf(board, picture);
  const names = its.map(({ definition }) => definition.name).join(", ");
  if (boards.get(board) === picture.now.mono)
    return { presence: "present", value: null, detail: `Nothing comes from it. Without it: ${names}` };
  const answers = its.some((channel) => sight(channel, picture.now, sinceMono).seen === "value");
  return answers
    ? { presence: "absent", value: null, detail: `${board} answers` }
    : { presence: "unknown", value: null, detail: `${board} has not been heard yet` };
}

/** What a source says of all its points at once. They come one after the other, and the first must not be taken for one sensor. */
const OF_A_SOURCE: readonly (Reason | null)[] = ["unplugged", "silent"];

/**
 * Whether it is the board's alarm that tells of a sensor without a value: while the board is silent, and after that for as long as the
 * sensor may take to report again. Also where the sensor was marked just now and the others of the board are still to come.
 */
export function isTheBoards(
  channel: PicturedChannel,
  picture: StationPicture,
  silent: SilentBoards,
): boolean {
  const { definition, reading } = channel;
  const lastSilent = silent.get(definition.source);
  if (lastSilent !== undefined && picture.now.mono - lastSilent <= definition.staleAfterS * 1000) return true;
  if (reading === null || !OF_A_SOURCE.includes(reading.reason)) return false;
  const since = channelsOf(definition.source, picture).some(
    (other) => other.reading?.value != null && other.reading.at.mono >= reading.at.mono,
  );
  return !since;
}
