import { createChannelBoard } from "../../../station/channels/board.js";
import { defineChannel } from "../../../station/channels/define.js";
import { createDeriver } from "../../../station/conditions/deriver.js";
import type { Instant } from "../../../station/model/instant.js";
import type { RawReading, Reading } from "../../../station/model/reading.js";
import type { Run } from "../../../station/model/run.js";
import type { ReplayReadings } from "../../../station/trials/recover.js";
import { createRunDesk } from "../../../station/trials/run-desk.js";

const definitions = [
  defineChannel({
    id: "water",
    name: "Coolant in",
    kind: "coolant-inlet",
    source: "s",
    point: "water",
    stale_after_s: 5,
  }),
  defineChannel({ id: "room-t", kind: "room-temperature", source: "s", point: "t", stale_after_s: 20 }),
  defineChannel({ id: "room-rh", kind: "room-humidity", source: "s", point: "rh", stale_after_s: 20 }),
  defineChannel({ id: "fan", kind: "extraction-running", source: "s", point: "fan", stale_after_s: 20 }),
  defineChannel({ id: "laser", kind: "laser-on", source: "s", point: "laser", stale_after_s: 20 }),
];
export const rules = { definitions, coolantRange: { low: 16, high: 21 }, minGoodShare: 0.8 };
export const EPOCH = 1_790_000_000_000;
const instant = (mono: number): Instant => ({ wall: EPOCH + mono, mono });

/** The line from raw readings to the desk, as the station wires it, with a store in memory and a clock that is set. */
export function bench(
  options: {
    bootId?: string;
    beamBegins?: () => boolean;
    /** How long after the end of a run the last reading of its time may come; by default none comes late. */
    latestMs?: number;
    restamped?: (run: Run) => void;
  } = {},
) {
  const board = createChannelBoard(definitions);
  const deriver = createDeriver({ definitions, coolantRange: rules.coolantRange });
  const readings: Reading[] = [];
  const begun: Run[] = [];
  const ended: Run[] = [];
  let mono = 1_000;
  let waiting: { readonly due: number; readonly resolve: () => void }[] = [];
  const clock = {
    now: () => instant(mono),
    bootId: options.bootId ?? "boot-1",
    state: () => "synchronised" as const,
  };
  const desk = createRunDesk({
    clock,
    rules,
    joinGapMs: 2_000,
    store: {
      runBegun: async (run) => {
        begun.push(run);
        return { ...run, number: 40 + begun.length };
      },
      runEnded: async (run) => {
        ended.push(run);
      },
    },
    opticsHours: () => 3,
    simulated: false,
    delivered: async () => {
      const { latestMs } = options;
      if (latestMs === undefined) return;
      await new Promise<void>((resolve) => waiting.push({ due: mono + latestMs, resolve }));
    },
    ...(options.restamped === undefined ? {} : { restamped: options.restamped }),
    ...(options.beamBegins === undefined ? {} : { beamBegins: options.beamBegins }),
    lastNumber: 40,
    jobSheet: null,
    failed: (error) => {
      throw error;
    },
  });
  const pass = (taken: readonly Reading[]) => {
    for (const reading of taken) {
      readings.push(reading);
      const derived = deriver.take(reading);
      desk.take(reading, derived, deriver.extraction().state);
    }
  };
  return {
    desk,
    readings,
    begun,
    ended,
    clock,
    at(next: number) {
      mono = next;
      for (const { due, resolve } of waiting) if (due <= mono) resolve();
      waiting = waiting.filter(({ due }) => due > mono);
    },
    /** @param lateMs how long ago it happened: news of a switch comes late */
    send(point: string, value: number, lateMs = 0) {
      const unit = point === "water" || point === "t" ? "Cel" : point === "rh" ? "%RH" : "state";
      const raw: RawReading = { source: "s", point, at: instant(mono - lateMs), value, unit };
      pass(board.take(raw));
    },
    tick() {
      pass(board.tick(instant(mono)));
      desk.tick(instant(mono));
    },
  };
}

/** A journal that holds these readings of one boot. */
export function readerOf(readings: readonly Reading[]): ReplayReadings {
  return {
    lastReadingsBefore: async () => [],
    async *readingsForReplay({ fromMono, toMono }) {
      yield readings.filter(({ at }) => at.mono >= fromMono && at.mono <= toMono);
    },
  };
}
