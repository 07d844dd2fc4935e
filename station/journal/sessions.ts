import { sound } from "./row-checks.js";

/**
 * The starts of the station within one boot, in SQL. All of the few rows there are looked through, each with its checksum, and no
 * index is gone by: one that has lost an entry would make the readings of a whole boot as though they had never been.
 * @param bootId a parameter, as `@bootId` or `?`
 */
export function sessionsOf(bootId: string): string {
  return `(SELECT id FROM session WHERE CASE WHEN ${sound("session")} THEN boot_id = ${bootId} END)`;
}
