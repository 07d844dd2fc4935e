import { type AlarmState, PRIORITIES, type Priority } from "../model/alarm.js";
import type { Post } from "./post.js";

const SOUNDING: readonly AlarmState[] = ["unacknowledged", "latched-unacknowledged"];

/** The highest priority among the alarms that sound; null where none does. */
export function priorityToSound(posts: Iterable<Post>): Priority | null {
  const sounding = [...posts]
    .filter(({ memory }) => SOUNDING.includes(memory.state))
    .map((post) => PRIORITIES.indexOf(post.definition.priority));
  return PRIORITIES[Math.min(...sounding)] ?? null;
}

/** Whether an urgent alarm waits for a person, even one that has returned since. */
export function urgentWaits(posts: Iterable<Post>): boolean {
  return [...posts].some(
    ({ definition, memory }) =>
      definition.priority === "urgent" &&
      (SOUNDING.includes(memory.state) || memory.state === "returned-unacknowledged"),
  );
}
