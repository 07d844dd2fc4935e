import { createHash } from "node:crypto";
import type { AlarmTransitionKind } from "../model/alarm.js";
import type { Told } from "./told.js";

/** What goes out by mail. */
export interface Mail {
  readonly subject: string;
  readonly text: string;
  /** Stable at every try, with its angle brackets (RFC 5322, section 3.6.4). */
  readonly messageId: string;
}

const TRANSITION_WORDS: Readonly<Record<AlarmTransitionKind, string>> = {
  raised: "raised",
  acknowledged: "acknowledged",
  returned: "over, and nobody has acknowledged it yet",
  "returned-to-normal": "over",
  latched: "over, and held until somebody resets it",
  reset: "reset",
  "re-alarmed": "still there",
  chattering: "comes and goes",
  shelved: "shelved",
  unshelved: "no longer shelved",
  suppressed: "suppressed by design",
  unsuppressed: "no longer suppressed",
  "out-of-service": "out of service",
  "in-service": "in service again",
};
const PRIORITY_WORDS: Readonly<Record<Told["priority"], string>> = {
  urgent: "URGENT",
  high: "High",
  medium: "Medium",
  low: "Low",
};
const MOST_IN_FULL = 20;
const LONGEST_SUBJECT = 120;
export const ADVISER =
  "This station is an adviser and no safety interlock. Go and look: never leave a running laser alone.";

function transitionWords({ transition }: Told): string {
  return TRANSITION_WORDS[transition as AlarmTransitionKind] ?? transition;
}

/** What somebody typed must not begin a header of its own, nor a line that looks like the station's. */
function oneLine(text: string): string {
  return text.replace(/[\p{Cc}\p{Zl}\p{Zp}]+/gu, " ").trim();
}

/** A mail's id by the key of its first notice. @param domain of the sender's address */
export function messageIdOf(key: string, domain: string): string {
  return `<${createHash("sha256").update(key).digest("hex").slice(0, 32)}@${domain}>`;
}

/** @param when a time in words, by the station's local clock */
export function mailOf(
  told: readonly Told[],
  key: string,
  domain: string,
  when: (wall: number) => string,
): Mail {
  const first = told.reduce((best, each) => (rank(each) < rank(best) ? each : best), told[0] as Told);
  const mark = first.simulated ? "SIMULATED: " : "";
  const others = told.length > 1 ? ` and ${told.length - 1} more` : "";
  const head =
    first.what !== "alarm"
      ? `${first.title}${others}`
      : `${PRIORITY_WORDS[first.priority]}: ${first.title}${first.transition === "raised" ? "" : `, ${transitionWords(first)}`}${others}`;
  const subject = oneLine(`${mark}${head} (${first.station})`).slice(0, LONGEST_SUBJECT);
  const paragraphs = told.slice(0, MOST_IN_FULL).map((each) => paragraph(each, when));
  const rest = told.length - paragraphs.length;
  const text = [
    ...(first.simulated
      ? ["SIMULATED: this comes from the simulated bench. Nothing of it was measured."]
      : []),
    ...(told.length > 1 ? [`${told.length} messages of ${oneLine(first.station)}, the oldest first.`] : []),
    ...paragraphs,
    ...(rest > 0 ? [`And ${rest} more: see the page Alarms of the station.`] : []),
    ADVISER,
  ].join("\n\n");
  return { subject, text: `${text}\n`, messageId: messageIdOf(key, domain) };
}

const RANKS: readonly Told["priority"][] = ["urgent", "high", "medium", "low"];
function rank({ priority, state }: Told): number {
  return RANKS.indexOf(priority) + (state === "unacknowledged" ? 0 : 0.5);
}

function paragraph(told: Told, when: (wall: number) => string): string {
  const unset = told.clock === "not synchronised" ? " (the station's clock was not set)" : "";
  const by = told.by === null ? "" : ` by ${oneLine(told.by)}`;
  if (told.what !== "alarm") return `${oneLine(told.title)}\n${when(told.wall)}${unset}`;
  return [
    `${PRIORITY_WORDS[told.priority]}: ${oneLine(told.title)}, ${transitionWords(told)}${by}`,
    `${when(told.wall)}${unset}`,
    oneLine(told.detail),
    ...(told.state === "unacknowledged" && told.consequence !== ""
      ? [`Why: ${oneLine(told.consequence)}`]
      : []),
    ...(told.state === "unacknowledged" && told.action !== "" ? [`What to do: ${oneLine(told.action)}`] : []),
  ].join("\n");
}
