import type { Page } from "playwright-core";
import { type Board, boardLine } from "../service/bench-rig.js";

/** Wall milliseconds with fractions, on the same footing here and in the browser. */
export const wallNow = () => performance.timeOrigin + performance.now();

/** Alarms of their own for edges that come faster than one alarm may: three raisings in a minute would be chattering. */
const PLACES = 60;

/** @returns the configuration with sensors at many places, each with an alarm for when it gives no value */
export function withPlaces<C extends { readonly channels?: unknown }>(config: C): C & { channels: object[] } {
  const places = Array.from({ length: PLACES }, (_, i) => ({
    ...{ id: `place-${i}`, name: `Air of place ${i}`, kind: "room-temperature" },
    ...{ source: "board", point: `place-${i}`, expected_every_s: 3600 },
  }));
  return { ...config, channels: [...(config.channels as object[]), ...places] };
}

/** What the board says of a place: a temperature, or one that no air has. */
export function placeLine(edge: number): string {
  return boardLine([{ n: `place-${placeOf(edge)}`, u: "Cel", v: edge % 2 === 0 ? 5000 : 20 }]);
}

/** All places give a value, once. */
export function reportPlaces(board: Board): void {
  for (let i = 0; i < PLACES; i += 1) board.write(placeLine(2 * i + 1));
}

/**
 * A good value more of each of the last places: one that was bad twice among its last five readings keeps its alarm, and in an hour
 * every place has its turn again and again.
 */
export function settlePlaces(board: Board, edge: number): void {
  for (let before = edge - 10; before < edge; before += 2) if (before > 0) board.write(placeLine(before | 1));
}

/** The alarm that an edge is of: the even ones raise it, the odd ones return it. */
export function alarmOf(edge: number): string {
  return `sensor-dead:place-${placeOf(edge)}`;
}

function placeOf(edge: number): number {
  return Math.floor(edge / 2) % PLACES;
}

/** Has the page write down when alarms became loud on it, and when they no longer were. */
export async function watchLoudness(page: Page): Promise<void> {
  await page.evaluate(() => {
    const since = new Map<string, { loud: boolean; at: number }>();
    Object.assign(window, { seenAlarms: since });
    const look = () => {
      const loud = new Set(
        [...document.querySelectorAll(".alarm-loud[data-testid]")].map(
          (each) => each.getAttribute("data-testid") ?? "",
        ),
      );
      const at = performance.timeOrigin + performance.now();
      for (const alarm of new Set([...loud, ...since.keys()])) {
        if (since.get(alarm)?.loud !== loud.has(alarm)) since.set(alarm, { loud: loud.has(alarm), at });
      }
    };
    look();
    new MutationObserver(look).observe(document.body, { subtree: true, childList: true, attributes: true });
  });
}

/** How long it took from `sent`, wall milliseconds, until the page showed what the edge made of its alarm; milliseconds. */
export async function shownAfter(page: Page, edge: number, sent: number): Promise<number> {
  const at = await page.waitForFunction(
    ({ alarm, loud, sent }) => {
      const all = (window as unknown as { seenAlarms: Map<string, { loud: boolean; at: number }> })
        .seenAlarms;
      const seen = all.get(alarm);
      return seen !== undefined && seen.loud === loud && seen.at >= sent ? seen.at : null;
    },
    { alarm: `alarm-${alarmOf(edge)}`, loud: edge % 2 === 0, sent },
    { polling: 20, timeout: 20_000 },
  );
  return ((await at.jsonValue()) as number) - sent;
}
