import { PRIORITIES, type StandingAlarm } from "../../../station/model/alarm.js";

const TURN: readonly StandingAlarm["state"][] = [
  "unacknowledged",
  "latched-unacknowledged",
  "returned-unacknowledged",
  "acknowledged",
  "latched-acknowledged",
];

/**
 * First those that stand and wait for an answer, then those that only wait for one, then the answered; by priority, and
 * the latest first.
 */
export function topFirst(alarms: readonly StandingAlarm[]): readonly StandingAlarm[] {
  return [...alarms].sort(
    (a, b) =>
      TURN.indexOf(a.state) - TURN.indexOf(b.state) ||
      PRIORITIES.indexOf(a.priority) - PRIORITIES.indexOf(b.priority) ||
      b.raisedWall - a.raisedWall,
  );
}
