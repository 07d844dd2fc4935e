import { computed, signal } from "@preact/signals";

/** Silence after which what is shown counts as old. The station speaks once a second. */
const LOST_AFTER_MS = 5000;
/** A link that has reported itself broken is given only this long. */
const BROKEN_AFTER_MS = 1500;
/** Until then a page that has just been opened is merely waiting. */
const FIRST_WORD_WITHIN_MS = 4000;

interface Heard {
  readonly wall: number;
  readonly mono: number;
}

const opened = performance.now();
const lastHeard = signal<Heard | null>(null);
const beat = signal(0);

export const linkUp = signal(false);

/** Called for every message of the station. */
export function heard(): void {
  lastHeard.value = { wall: Date.now(), mono: performance.now() };
}

/** Starts the second-by-second look at the clock; ages grow even when nothing arrives. */
export function startBeat(): void {
  setInterval(() => beat.value++, 1000);
  document.addEventListener("visibilitychange", () => beat.value++);
}

/** Browser's wall time of the last message, null before the first. */
export const lastHeardWall = computed(() => lastHeard.value?.wall ?? null);

/**
 * Milliseconds since the last message. The longer of two clocks: the monotonic one stops while a phone sleeps, the wall
 * clock can be set back.
 */
export const silentMs = computed(() => {
  beat.value;
  const last = lastHeard.value;
  if (last === null) return 0;
  return Math.max(0, performance.now() - last.mono, Date.now() - last.wall);
});

export const lost = computed(() => {
  beat.value;
  if (lastHeard.value === null) return performance.now() - opened > FIRST_WORD_WITHIN_MS;
  return silentMs.value > (linkUp.value ? LOST_AFTER_MS : BROKEN_AFTER_MS);
});
