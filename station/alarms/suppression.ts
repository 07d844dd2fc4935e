import type { AlarmDefinition } from "../model/alarm.js";
import { boardAlarmId, type SilentBoards } from "./board-rule.js";
import type { SuppressionCause } from "./default.js";
import { ALARM_DEFAULTS } from "./definitions.js";
import type { AlarmInputs } from "./inputs.js";
import { isCutting, type StationPicture, seenOf, sight } from "./picture.js";

/**
 * Suppression by design (ISA-18.2 / IEC 62682, from memory): an alarm says nothing while it was declared to have nothing to
 * say. It is only suppressed on what is known: a channel that is dead, or not there, suppresses nothing.
 */
export interface Suppressing {
  readonly sinceMono: number;
  readonly silentBoards: SilentBoards;
  /** Ids of the alarms of boards there are: only a board that has an alarm of its own speaks for its sensors. */
  readonly boards: ReadonlySet<string>;
  readonly inputs: AlarmInputs;
}

/** What suppresses an alarm at this moment, in words; null for nothing. */
export function suppressedBy(
  definition: AlarmDefinition,
  picture: StationPicture,
  memory: Suppressing,
): string | null {
  for (const cause of ALARM_DEFAULTS[definition.kind].suppressedWhile) {
    const words = CAUSES[cause](definition, picture, memory);
    if (words !== null) return words;
  }
  return null;
}

type Cause = (definition: AlarmDefinition, picture: StationPicture, memory: Suppressing) => string | null;

const CAUSES: Readonly<Record<SuppressionCause, Cause>> = {
  /** Not while something is cut, whatever the channel says: its wire may be loose. */
  "machine-off": (_, picture, { sinceMono }) => {
    if (isCutting(picture)) return null;
    const told = seenOf(picture, "machine-on", sinceMono);
    return told.length > 0 && told.every(({ value }) => value === 0) ? "The machine is off" : null;
  },
  /** While its board is silent, and after that for as long as the sensor may take to report again. */
  "board-silent": (definition, picture, { sinceMono, silentBoards, boards, inputs }) => {
    const channel = definition.kind === "sensor-dead" ? inputs.of(definition)[0] : undefined;
    if (channel === undefined || !boards.has(boardAlarmId(channel.definition.source))) return null;
    const { source, staleAfterS } = channel.definition;
    const lastSilent = silentBoards.get(source);
    if (lastSilent === undefined || picture.now.mono - lastSilent > staleAfterS * 1000) return null;
    return sight(channel, picture.now, sinceMono).seen === "value"
      ? null
      : `Its board, ${source}, does not answer`;
  },
};
