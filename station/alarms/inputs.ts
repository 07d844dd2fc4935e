import type { AlarmDefinition } from "../model/alarm.js";
import { boardAlarmId } from "./board-rule.js";
import { ALARM_DEFAULTS } from "./definitions.js";
import type { PicturedChannel, StationPicture } from "./picture.js";
import { sensorAlarmId } from "./sensor-rule.js";

/** The sensors that each alarm is judged by, in one picture. */
export interface AlarmInputs {
  of(definition: AlarmDefinition): readonly PicturedChannel[];
}

const NONE: readonly PicturedChannel[] = [];

/**
 * Sorted out once a picture: a look at every channel for every alarm, a hundred of each, is more than the main thread has time for
 * at every reading.
 */
export function inputsOf({ channels }: StationPicture): AlarmInputs {
  const byAlarm = new Map<string, PicturedChannel[]>();
  const byKind = new Map<string, PicturedChannel[]>();
  for (const channel of channels) {
    const { id, kind, source } = channel.definition;
    put(byAlarm, sensorAlarmId(id), channel);
    put(byAlarm, boardAlarmId(source), channel);
    put(byKind, kind, channel);
  }
  return {
    of({ id, kind }) {
      if (kind === "sensor-dead" || kind === "board-silent") return byAlarm.get(id) ?? NONE;
      const { needs } = ALARM_DEFAULTS[kind];
      if (needs.length === 0) return NONE;
      const its: PicturedChannel[] = [];
      for (const anyOf of needs) for (const one of anyOf) its.push(...(byKind.get(one) ?? NONE));
      return its;
    },
  };
}

function put(groups: Map<string, PicturedChannel[]>, key: string, channel: PicturedChannel): void {
  const group = groups.get(key);
  if (group === undefined) groups.set(key, [channel]);
  else group.push(channel);
}
