import { computed, effect, signal, untracked } from "@preact/signals";
import { type Me, mayAs, type Role } from "../../../station/model/access.js";
import { linkRefused, renewLink, start } from "../link/live.js";
import { turnedAway } from "../link/turned-away.js";
import { askAccess } from "./ask-access.js";

/** How this browser stands to the station; null until the station has said so. */
export const me = signal<Me | null>(null);

/** Known to be nobody's: the pages show nothing but the sign-in. */
export const signedOut = computed(() => me.value !== null && me.value.role === null);

/** Whether somebody has to sign in at all. */
export const locked = computed(() => me.value !== null && me.value.state !== "open");

/** What is not known yet is not forbidden: the station has the last word in any case. */
export function may(least: Role): boolean {
  return me.value === null || mayAs(me.value.role, least);
}

/** While a PIN allows more, the page asks this often whether it still does; and whether the disk has told who may sign in. */
const ASK_AGAIN_MS = 20_000;

/** Questions so far, in the order in which they were asked; and which of them, or of the deeds, the page goes by now. */
let asked = 0;
let goneBy = 0;

export async function askMe(): Promise<void> {
  asked += 1;
  const mine = asked;
  const answer = await askAccess.me().catch(() => null);
  // What was asked before a sign-in, and answered after it, tells how it was: it would shut the page that was just opened.
  if (answer === null || mine < goneBy) return;
  goneBy = mine;
  const before = me.value;
  me.value = answer;
  // Somebody has signed in on another page of this browser: the link is had again.
  if (before?.role === null && answer.role !== null) renewLink();
}

/** Takes over what the station answered to a sign-in, a PIN or a sign-out. */
export function nowIs(answer: Me): void {
  asked += 1;
  goneBy = asked;
  me.value = answer;
  renewLink();
}

/** For the life of the page. */
export function startMe(): void {
  effect(() => {
    // At the beginning, after a restart of the station, and whenever it turned something away.
    start.value;
    turnedAway.value;
    linkRefused.value;
    untracked(() => void askMe());
  });
  setInterval(() => {
    const known = me.value;
    if (known !== null && (known.raisedLeftMs !== null || known.state === "unread")) void askMe();
  }, ASK_AGAIN_MS);
  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState === "visible") void askMe();
  });
}
