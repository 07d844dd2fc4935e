import { createAlarmDesk } from "../../../station/alarms/desk.js";
import { defineAlarms } from "../../../station/alarms/entry.js";
import { AppError } from "../../../station/errors.js";
import type { AlarmTransition } from "../../../station/model/alarm.js";
import { channel, good, picture, RANGE } from "./given.js";

export const inlet = channel("coolant", "coolant-inlet");
export const flowing = channel("flowing", "coolant-flowing");
export const room = channel("room", "room-temperature");
export const definitions = defineAlarms({}, { channels: [inlet, flowing, room], coolantRange: RANGE });
export const RUN = { id: "run-7", startMono: 0 };

export const newDesk = (startId = "start-a") => createAlarmDesk(definitions, { startId });
export type Desk = ReturnType<typeof newDesk>;

export const scene = (seconds: number, coolant: number, flow: 0 | 1, run: typeof RUN | null = null) =>
  picture(seconds, {
    run,
    channels: [good(inlet, coolant, seconds), good(flowing, flow, seconds), good(room, 21, seconds)],
  });

/** Shows the same scene every second and collects what changed. */
export function hold(
  desk: Desk,
  from: number,
  to: number,
  coolant: number,
  flow: 0 | 1,
  run: typeof RUN | null = null,
) {
  const transitions: AlarmTransition[] = [];
  for (let s = from; s <= to; s += 1) transitions.push(...desk.update(scene(s, coolant, flow, run)));
  return transitions;
}
export const words = (transitions: readonly AlarmTransition[]) =>
  transitions.map(({ mono, alarm, transition }) => `${mono / 1000} ${alarm} ${transition}`);
export const states = (desk: Desk) => desk.standing().map(({ alarm, state }) => `${alarm} ${state}`);
export const codeOf = (act: () => unknown) => {
  try {
    act();
  } catch (error) {
    return error instanceof AppError ? error.code : error;
  }
  return "nothing thrown";
};
