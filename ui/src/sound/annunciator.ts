import { computed, effect, signal } from "@preact/signals";
import { PRIORITIES, type Priority } from "../../../station/model/alarm.js";
import { now } from "../link/live.js";
import { PATTERNS } from "./patterns.js";

/** Whether this browser lets the page sound: it withholds sound until somebody touches the page. */
export const soundState = signal<"allowed" | "withheld" | "missing">("withheld");

/** Set by a person at this screen while the station is lost; forgotten as soon as the sound would change. */
const silencedHere = signal(false);

/**
 * The sound that is asked for. While the station is lost the last one goes on: silence would read as "the alarm is over".
 */
const wanted = computed<Priority | null>(() => now.value?.annunciation.sound ?? null);

export const sounding = computed(() => (silencedHere.value ? null : wanted.value));

export function silenceHere(): void {
  silencedHere.value = true;
}

const LOUDNESS: Readonly<Record<Priority, number>> = { urgent: 0.5, high: 0.4, medium: 0.3, low: 0.2 };
/** Ramp at both ends of a note, so that it does not click. */
const RAMP_S = 0.012;

/** From the lifting of a finger until what it pressed has been told; and until then where no lifting is told of. */
const SETTLES_MS = 500;
const LONGEST_TOUCH_MS = 3000;

let context: AudioContext | null = null;
let touching = false;
let settling: ReturnType<typeof setTimeout> | undefined;

/** What is said of sound goes at the first touch. Were it to go under the finger, what was touched would move away from it. */
function settleAfter(ms: number): void {
  touching = true;
  clearTimeout(settling);
  settling = setTimeout(() => {
    touching = false;
    readState();
  }, ms);
}

function readState(): void {
  if (touching) return;
  soundState.value = context === null ? "missing" : context.state === "running" ? "allowed" : "withheld";
}

function play(priority: Priority, afterS = 0): void {
  if (context === null || context.state !== "running") return;
  const begin = context.currentTime + 0.03 + afterS;
  for (const note of PATTERNS[priority].notes) {
    const from = begin + note.at;
    const until = from + note.seconds;
    const tone = context.createOscillator();
    const loudness = context.createGain();
    tone.type = "triangle";
    tone.frequency.value = note.hertz;
    loudness.gain.setValueAtTime(0, from);
    loudness.gain.linearRampToValueAtTime(LOUDNESS[priority], from + RAMP_S);
    loudness.gain.setValueAtTime(LOUDNESS[priority], until - RAMP_S);
    loudness.gain.linearRampToValueAtTime(0, until);
    tone.connect(loudness).connect(context.destination);
    tone.start(from);
    tone.stop(until);
  }
}

/** Plays one pattern once. The press that asked for it also gives the page leave to sound. */
export async function hear(priority: Priority): Promise<void> {
  await context?.resume();
  play(priority);
}

/** Plays every pattern once, from low to urgent. */
export async function testSound(): Promise<void> {
  await context?.resume();
  [...PRIORITIES].reverse().forEach((priority, i) => {
    play(priority, i * 1.2);
  });
}

/** Sounds the station's annunciation for the life of the page. */
export function startAnnunciator(): void {
  if (typeof AudioContext === "undefined") {
    soundState.value = "missing";
    return;
  }
  context = new AudioContext();
  context.addEventListener("statechange", readState);
  readState();
  const wake = () => {
    if (context?.state !== "running") void context?.resume().catch(() => undefined);
  };
  for (const touch of ["pointerdown", "keydown"])
    addEventListener(touch, wake, { capture: true, passive: true });
  addEventListener("pointerdown", () => settleAfter(LONGEST_TOUCH_MS), { capture: true, passive: true });
  for (const lifted of ["pointerup", "pointercancel"])
    addEventListener(lifted, () => settleAfter(SETTLES_MS), { capture: true, passive: true });

  effect(() => {
    wanted.value;
    silencedHere.value = false;
  });
  effect(() => {
    const priority = sounding.value;
    if (priority === null || soundState.value !== "allowed") return;
    play(priority);
    const repeat = setInterval(() => play(priority), PATTERNS[priority].everyS * 1000);
    return () => clearInterval(repeat);
  });
}
