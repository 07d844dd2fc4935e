import { falteringWords, NO_ANSWERS } from "./answers.js";
import { boardAlarmId, isTheBoards } from "./board-rule.js";
import type { Observation, Presence } from "./machine.js";
import { type PicturedChannel, type StationPicture, sight } from "./picture.js";
import type { RuleMemory } from "./rules.js";

export function sensorAlarmId(channel: string): string {
  return `sensor-dead:${channel}`;
}

/**
 * Dead now; or answering only now and then, which is called dead once it has given no value for its stale time.
 * @param channel the one it is of; undefined where that is not there any more
 * @param boards ids of the alarms of boards there are
 */
export function sensorDead(
  channel: PicturedChannel | undefined,
  picture: StationPicture,
  memory: Pick<RuleMemory, "answers" | "silentBoards" | "sinceMono">,
  boards: ReadonlySet<string>,
): Omit<Observation, "holdMs"> {
  if (channel === undefined) return state("unknown", "This channel is not there any more");
  const { name, staleAfterS } = channel.definition;
  const what = sight(channel, picture.now, memory.sinceMono);
  const answers = memory.answers.get(channel.definition.id) ?? NO_ANSWERS;
  const sinceValueMs = picture.now.mono - (answers.lastValueMono ?? Number.NEGATIVE_INFINITY);
  if (answers.faltering && sinceValueMs <= staleAfterS * 1000) {
    return state("present", `${name} ${falteringWords(answers)}`);
  }
  const told = boards.has(boardAlarmId(channel.definition.source));
  if (told && what.seen !== "value" && isTheBoards(channel, picture, memory.silentBoards)) {
    return state("unknown", `${name}: its board does not answer`);
  }
  switch (what.seen) {
    case "value":
      return state("absent", `${name} reports`);
    case "nothing-yet":
      return state("unknown", `${name} has not been read yet`);
    case "dead":
      return state("present", `${name}: ${what.why}`);
  }
}

function state(presence: Presence, detail: string): Omit<Observation, "holdMs"> {
  return { presence, value: null, detail };
}
