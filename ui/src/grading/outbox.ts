import { batch, effect, signal } from "@preact/signals";
import { linkUp } from "../link/heard.js";
import { start } from "../link/live.js";
import { newId } from "../link/new-id.js";
import { screenName } from "../shell/screen-name.js";
import { openKeptHere } from "./in-browser.js";
import { createInMemory } from "./in-memory.js";
import type { KeptHere } from "./kept-here.js";
import { oneAtATime } from "./one-sender.js";
import { createRounds, type Rounds } from "./rounds.js";
import { sendParcel } from "./send.js";
import { sendLane } from "./sender.js";
import type { Entered, EnteredGrade, EnteredPhoto, Lane, Waiting } from "./waiting.js";

/** What this browser has that the station has not, in order. */
export const waiting = signal<readonly Waiting[]>([]);
/** Whether this page has seen yet what this browser keeps: until then nobody knows that nothing waits. */
export const looked = signal(false);
/** Of what was entered on this page, what the station has got since. */
export const settled = signal<readonly Waiting[]>([]);
/** Counts what the station has got, from any page of this browser. */
export const settledCount = signal(0);
/** Why what waits has not been sent; null where nothing waits, or it is on its way. */
export const trouble = signal<string | null>(null);
/** `page`: the browser keeps nothing, so that what waits goes with the page. */
export const keeping = signal<"browser" | "page">("browser");
/** Whether the browser has promised not to clear what it keeps; null where it cannot be asked. */
export const promised = signal<boolean | null>(null);

const MOST_REMEMBERED = 200;
const LANES: readonly Lane[] = ["grade", "photo"];

let opening: Promise<KeptHere> | null = null;

/** Where this browser keeps what was entered. */
export function keptHere(): Promise<KeptHere> {
  opening ??= openKeptHere(Date.now).catch(() => {
    keeping.value = "page";
    return createInMemory();
  });
  return opening;
}

/** Pages of the same browser tell each other; where they cannot, each looks again when it is looked at. */
const others = typeof BroadcastChannel === "undefined" ? null : new BroadcastChannel("station-grading");

async function look(): Promise<void> {
  const items = await (await keptHere()).waiting();
  batch(() => {
    waiting.value = items;
    looked.value = true;
  });
}

const troubles = new Map<Lane, string | null>();

const rounds: readonly Rounds[] = LANES.map((lane) =>
  createRounds({
    round: () => oneAtATime(`station-${lane}`, () => sendOne(lane)),
    after(ms, then) {
      const timer = setTimeout(then, ms);
      return () => clearTimeout(timer);
    },
    told(why) {
      troubles.set(lane, why);
      trouble.value = LANES.map((each) => troubles.get(each) ?? null).find((each) => each !== null) ?? null;
    },
  }),
);

async function sendOne(lane: Lane): Promise<string | null> {
  const kept = await keptHere();
  return sendLane(
    {
      waiting: () => kept.waiting(),
      send: (parcel) => sendParcel(parcel, kept),
      async settle(item, answer) {
        await kept.settle(item, answer);
        const left = await kept.waiting();
        batch(() => {
          settled.value = [...settled.value, item].slice(-MOST_REMEMBERED);
          waiting.value = left;
          settledCount.value += 1;
        });
        others?.postMessage("settled");
      },
      async refuse(item, why) {
        await kept.refuse(item, why);
        await look();
        others?.postMessage("changed");
      },
    },
    lane,
  );
}

export function sendNow(): void {
  for (const each of rounds) each.now();
}

/** Keeps what was entered in this browser, and then sends it. @throws Error, in words, where it could not be kept */
async function enter(entered: Entered, picture: ArrayBuffer | null, title: string | null): Promise<void> {
  const kept = await keptHere();
  await kept.add(entered, picture, title).catch((error: unknown) => {
    throw notKeptHere(error);
  });
  await look();
  others?.postMessage("changed");
  sendNow();
  void askToStay();
}

export function enterGrade(
  grade: Pick<EnteredGrade, "subject" | "property" | "body">,
  title: string,
): Promise<void> {
  return enter({ ...grade, kind: "grade", ...about() }, null, title);
}

/** @param title of the specimen's plan; null for a photo of a lot */
export function enterPhoto(
  photo: Pick<EnteredPhoto, "subject" | "note">,
  picture: ArrayBuffer,
  title: string | null,
): Promise<void> {
  return enter({ ...photo, kind: "photo", bytes: picture.byteLength, ...about() }, picture, title);
}

function about() {
  return { entry: newId(), enteredWall: Date.now(), by: screenName() };
}

export async function dismiss(item: Waiting): Promise<void> {
  await (await keptHere()).dismiss(item);
  await look();
  others?.postMessage("changed");
}

function notKeptHere(error: unknown): Error {
  const full = error instanceof DOMException && error.name === "QuotaExceededError";
  return new Error(
    full
      ? "Not kept: this browser has no more room. Get back to the station's network, so that what waits can be sent, and enter it again."
      : `Not kept: the browser would not take it (${error instanceof Error ? error.message : String(error)}). Load the page again, and enter it again.`,
  );
}

let asked = false;

/** Browsers clear what pages keep when the phone runs out of room, unless they have promised not to. */
async function askToStay(): Promise<void> {
  if (asked) return;
  asked = true;
  const storage: StorageManager | undefined = navigator.storage;
  if (typeof storage?.persist !== "function") return;
  promised.value = await storage.persist().catch(() => false);
}

/** Sends what waits from before, and whenever the station comes back. For the life of the page. */
export function startSending(): void {
  void look().then(sendNow, () => undefined);
  effect(() => {
    if (linkUp.value && start.value !== "") sendNow();
  });
  others?.addEventListener("message", (event: MessageEvent<string>) => {
    void look().then(() => {
      if (event.data === "settled") settledCount.value += 1;
    });
  });
  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState === "visible") void look().then(sendNow, () => undefined);
  });
}
