import { bytesText, type DiskView } from "../../model/disk.js";
import { roomFor } from "./room.js";

export interface DiskFacts {
  readonly freeBytes: number;
  readonly totalBytes: number;
  readonly journalBytes: number;
  readonly bytesADay: number;
  readonly reserveBytes: number;
  /** Fewer days left than this are few. */
  readonly leastDays: number;
  /** Whether they were few before. */
  readonly fewDays: boolean;
}

/** Few days are few until there is a fifth more than that: the rate changes a little from hour to hour. */
const BACK = 1.2;

export function judgeDisk(facts: DiskFacts): DiskView {
  const { freeBytes, totalBytes, journalBytes, bytesADay, reserveBytes, leastDays, fewDays } = facts;
  const room = roomFor("readings", freeBytes, reserveBytes);
  const daysLeft = bytesADay > 0 ? room / bytesADay : null;
  const few = daysLeft !== null && daysLeft < leastDays * (fewDays ? BACK : 1);
  const lasts = daysLeft === null ? "" : `, enough for ${lastingText(daysLeft)} of readings`;
  const text = `${bytesText(freeBytes)} free on the journal's disk${room === 0 ? ", which is kept for runs and alarms" : lasts}.`;
  return { freeBytes, totalBytes, journalBytes, bytesADay, daysLeft, fewDays: few, trouble: null, text };
}

/** A disk that could not be looked at: nothing is known of it, and nothing that was known is repeated. */
export function unknownDisk(trouble: string | null): DiskView {
  return {
    freeBytes: null,
    totalBytes: null,
    journalBytes: null,
    bytesADay: null,
    daysLeft: null,
    fewDays: false,
    trouble,
    text:
      trouble === null
        ? "The journal's disk has not been looked at yet."
        : `How much room the journal's disk has is not known: ${trouble}.`,
  };
}

/** How long something lasts, in words that promise no more than can be known. */
export function lastingText(days: number): string {
  if (days < 1) return "less than a day";
  if (days < 2) return "about a day";
  if (days < 92) return `about ${Math.floor(days)} days`;
  if (days < 730) return `about ${Math.floor(days / 30.5)} months`;
  if (days < 3650) return `about ${Math.floor(days / 365.25)} years`;
  return "more than ten years";
}
