import { PRIORITIES, type StandingAlarm } from "../../../station/model/alarm.js";

function needsAnswer(alarm: StandingAlarm): boolean {
  return alarm.state !== "acknowledged";
}

/** Those nobody has acknowledged first, then by priority, then the latest first. */
export function topFirst(alarms: readonly StandingAlarm[]): readonly StandingAlarm[] {
  return [...alarms].sort(
    (a, b) =>
      Number(needsAnswer(b)) - Number(needsAnswer(a)) ||
      PRIORITIES.indexOf(a.priority) - PRIORITIES.indexOf(b.priority) ||
      b.raisedWall - a.raisedWall,
  );
}
