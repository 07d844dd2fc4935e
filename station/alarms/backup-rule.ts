import type { AlarmDefinition } from "../model/alarm.js";
import { isBeyond } from "./compare.js";
import type { Observation } from "./machine.js";
import type { StationPicture } from "./picture.js";

type Sighting = Omit<Observation, "holdMs">;

const DAY_MS = 86_400_000;

/**
 * By the days since the last good backup, as the folder for them says. One that cannot be looked into counts as one without
 * any; an empty one gets its first day, in which the first backup is due.
 * @param sinceMono when the alarms began to look, `mono` milliseconds
 */
export function backupOld(
  { setpoint }: AlarmDefinition,
  picture: StationPicture,
  sinceMono: number,
): Sighting {
  const { backups, clock, now } = picture;
  const unknown = (detail: string): Sighting => ({ presence: "unknown", value: null, detail });
  if (!backups.looked || setpoint === null) return unknown("The backups have not been looked at yet");
  const because = backups.trouble === null ? "" : `: ${withoutStop(backups.trouble)}`;
  if (backups.lastGoodWall === null) {
    const waited = now.mono - sinceMono > DAY_MS;
    const presence = backups.trouble !== null || waited ? "present" : "absent";
    return { presence, value: null, detail: `There is no good backup${because}` };
  }
  const days = (now.wall - backups.lastGoodWall) / DAY_MS;
  // A clock that nobody has set says a time of the past, or any other.
  if (clock === "not synchronised" || days < 0) return unknown("The clock has not been set");
  const beyond = isBeyond("high", days, setpoint);
  const detail = `The last good backup was made ${daysText(days)} ago${beyond ? because : ""}`;
  return { presence: beyond ? "present" : "absent", value: days, detail };
}

/** Rounded down, so that it never says too much. */
function daysText(days: number): string {
  const whole = Math.floor(days);
  if (whole < 1) return "less than a day";
  return whole === 1 ? "1 day" : `${whole} days`;
}

function withoutStop(words: string): string {
  return words.replace(/\.$/, "");
}
