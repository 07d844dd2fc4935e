import { performance } from "node:perf_hooks";
import type { Clock } from "../../station/model/instant.js";
import type { RawReading } from "../../station/model/reading.js";
import type { SourceSink, SourceStatus } from "../../station/model/source.js";

export const realClock: Clock = {
  now: () => ({ wall: Date.now(), mono: performance.now() }),
  bootId: "test",
  state: () => "synchronised",
};

/** Writes down all that a source says, and lets a test wait for the next thing it is waiting for. */
export class Witness implements SourceSink {
  readonly readings: RawReading[] = [];
  readonly statuses: SourceStatus[] = [];
  readonly #waiting = new Set<() => void>();

  reading(raw: RawReading): void {
    this.readings.push(raw);
    for (const look of [...this.#waiting]) look();
  }

  status(status: SourceStatus): void {
    this.statuses.push(status);
    for (const look of [...this.#waiting]) look();
  }

  /** The first reading from now on that fits. */
  nextReading(fits: (raw: RawReading) => boolean): Promise<RawReading> {
    return this.#next(this.readings, fits);
  }

  nextStatus(fits: (status: SourceStatus) => boolean): Promise<SourceStatus> {
    return this.#next(this.statuses, fits);
  }

  nextFault(fault: string): Promise<RawReading> {
    return this.nextReading((raw) => "fault" in raw && raw.fault === fault);
  }

  nextValue(point: string): Promise<number> {
    return this.nextReading((raw) => raw.point === point && "value" in raw).then((raw) =>
      "value" in raw ? raw.value : Number.NaN,
    );
  }

  #next<T>(list: readonly T[], fits: (item: T) => boolean): Promise<T> {
    const from = list.length;
    return new Promise((resolve) => {
      const look = () => {
        const found = list.slice(from).find(fits);
        if (found === undefined) return;
        this.#waiting.delete(look);
        resolve(found);
      };
      this.#waiting.add(look);
    });
  }
}
