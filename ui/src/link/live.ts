import { batch, computed, signal } from "@preact/signals";
import { io } from "socket.io-client";
import type { StandingAlarm } from "../../../station/model/alarm.js";
import type { AlarmMessage, Bucket, NowSnapshot } from "../../../station/model/now.js";
import { ask } from "./ask.js";
import { heard, linkUp } from "./heard.js";
import { mergeLine } from "./line.js";

/** What the station last said; null until it has said anything. */
export const now = signal<NowSnapshot | null>(null);

/** The last ten minutes of the coolant, put together from the snapshot and the changes since. */
export const coolantLine = signal<readonly Bucket[]>([]);

/** Id of the start of the station this page is looking at. Lists and charts are fetched anew when it changes. */
export const start = computed(() => now.value?.start ?? "");

export const standing = computed<readonly StandingAlarm[]>(() => now.value?.alarms ?? []);

function take(message: NowSnapshot, whole: boolean): void {
  batch(() => {
    heard();
    const held = whole || message.start !== now.value?.start ? [] : coolantLine.value;
    coolantLine.value = mergeLine(held, message.coolantLine, message.wall);
    now.value = message;
  });
}

/** Puts what the station has just answered on the page without waiting for its next message. */
export function amend(
  change: Partial<
    Pick<
      NowSnapshot,
      "run" | "runOpenMs" | "jobSheet" | "jobSheetWall" | "optics" | "alarms" | "suppressed" | "afterCut"
    >
  >,
): void {
  if (now.value) now.value = { ...now.value, ...change };
}

function takeAlarms(message: AlarmMessage): void {
  batch(() => {
    heard();
    const { alarms, suppressed = [], annunciation } = message;
    if (now.value) now.value = { ...now.value, alarms, suppressed, annunciation };
  });
}

/** Counts how often the link was not to be had. */
export const linkRefused = signal(0);

let again: (() => void) | null = null;

/** Opens the link anew, as whoever has just signed in. */
export function renewLink(): void {
  again?.();
}

/** Opens the link and keeps it open for the life of the page. */
export function startLink(): void {
  const socket = io({
    transports: ["websocket", "polling"],
    tryAllTransports: true,
    reconnectionDelay: 500,
    // A station that restarts should be back on the wall within seconds, not after a long back-off.
    reconnectionDelayMax: 3000,
    timeout: 5000,
  });
  socket.on("connect", () => {
    linkUp.value = true;
  });
  socket.on("disconnect", (reason) => {
    linkUp.value = false;
    // After a disconnect asked for by the server the client does not come back by itself.
    if (reason === "io server disconnect") socket.connect();
  });
  // The station may want somebody to sign in first; it does not say so to a socket.
  socket.on("connect_error", () => {
    linkRefused.value += 1;
  });
  again = () => socket.disconnect().connect();
  socket.on("snapshot", (message: NowSnapshot) => take(message, true));
  socket.on("live", (message: NowSnapshot) => take(message, false));
  socket.on("alarms", (message: AlarmMessage) => {
    takeAlarms(message);
    socket.emit("alarms-received", message.id);
  });
  // The first paint need not wait for the handshake of the socket.
  ask.now().then(
    (message) => {
      if (now.value === null) take(message, true);
    },
    () => undefined,
  );
}
