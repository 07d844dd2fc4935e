import { AppError } from "../errors.js";
import type { Clock } from "../model/instant.js";
import type { Unit } from "../model/quantity.js";
import { type RawReading, REASONS } from "../model/reading.js";
import type { TouchVerdict } from "../model/setup.js";
import type { Source } from "../model/source.js";
import type { DriverEntry } from "../sources/drivers.js";
import { GIVE_UP_MS, judgeTouch, OWN_PAST_MS, type TouchSample, type Watched } from "./touch.js";

export interface LookerParts {
  readonly clock: Clock;
  readonly create: (entry: DriverEntry) => Source;
  /** Without a question of the page for so long it ends by itself, milliseconds; default two minutes. */
  readonly endAfterMs?: number;
}

/** The last that was seen of a point. */
export interface Seen {
  readonly source: string;
  readonly point: string;
  readonly unit: Unit | null;
  readonly value: number | null;
  readonly trouble: string | null;
  readonly mono: number;
}

/** Reads what is connected and has no role yet, for one page at a time and only while that looks. */
export interface Looker {
  /**
   * From now on the page looks; the one that did before is told at its next question.
   * @param wanted entries of what the running station does not read, each with an id of its own
   * @throws AppError `setup-taken-over`
   */
  look(page: string, wanted: readonly DriverEntry[]): void;
  /** A reading of the running station, which the page sees beside its own. */
  heard(raw: RawReading): void;
  seen(): readonly Seen[];
  /**
   * Which one was touched since it was first asked by this name.
   * @param nameOf the thing that a source's point belongs to; null for what is not judged
   */
  touch(asked: string, nameOf: (source: string) => string | null): TouchVerdict;
  /** Gives everything back. */
  stop(): Promise<void>;
}

const END_AFTER_MS = 120_000;
const KEPT_MS = GIVE_UP_MS + OWN_PAST_MS + 20_000;
/** One reading a second for as long as is kept, and the edges of a contact that flutters. */
const MOST_SAMPLES = 400;
/** Pages that were taken over from: an older one has been closed long since. */
const REMEMBERED = 20;

interface Line {
  last: Seen;
  samples: TouchSample[];
}

export function createLooker({ clock, create, endAfterMs = END_AFTER_MS }: LookerParts): Looker {
  const running = new Map<string, { readonly as: string; readonly source: Source }>();
  const ending = new Map<string, Promise<void>>();
  const lines = new Map<string, Line>();
  let page: string | null = null;
  let before: readonly string[] = [];
  let timer: NodeJS.Timeout | null = null;
  let touching: { readonly asked: string; readonly since: number; verdict: TouchVerdict | null } | null =
    null;

  const take = (raw: RawReading) => {
    const key = `${raw.source} ${raw.point}`;
    const { mono } = raw.at;
    const line = lines.get(key);
    const { source, point } = raw;
    if ("fault" in raw) {
      const trouble = REASONS[raw.fault].text;
      const last = { source, point, unit: line?.last.unit ?? null, value: null, trouble, mono };
      lines.set(key, { last, samples: line?.samples ?? [] });
      return;
    }
    const last = { source, point, unit: raw.unit, value: raw.value, trouble: null, mono };
    // One that is doubted is shown, and moves nothing: the 85 °C of a probe that has just been plugged in is no touch.
    const more = raw.doubt === undefined ? [{ mono, value: raw.value }] : [];
    const samples = [...(line?.samples ?? []), ...more].filter((each) => each.mono >= mono - KEPT_MS);
    lines.set(key, { last, samples: samples.slice(-MOST_SAMPLES) });
  };

  const end = (id: string) => {
    const going = running.get(id);
    running.delete(id);
    for (const key of [...lines.keys()]) if (key.startsWith(`${id} `)) lines.delete(key);
    if (going === undefined) return;
    const gone = going.source
      .stop()
      .catch(() => undefined)
      .then(() => void ending.delete(id));
    ending.set(id, gone);
  };

  const endAll = () => {
    if (timer !== null) clearTimeout(timer);
    timer = null;
    page = null;
    touching = null;
    for (const id of [...running.keys()]) end(id);
    lines.clear();
  };

  const begin = (entry: DriverEntry, as: string) => {
    const source = create(entry);
    running.set(entry.id, { as, source });
    // What comes after its end was read for nobody.
    const wanted = () => running.get(entry.id)?.source === source;
    source.start({ reading: (raw) => (wanted() ? take(raw) : undefined), status: () => undefined });
  };

  return {
    look(by, wanted) {
      if (before.includes(by)) {
        throw new AppError(
          "setup-taken-over",
          "Another page looks at what is connected now, and one at a time is enough for the wires. Look here again, if that is wanted.",
        );
      }
      if (page !== null && page !== by) before = [page, ...before].slice(0, REMEMBERED);
      page = by;
      if (timer !== null) clearTimeout(timer);
      timer = setTimeout(endAll, endAfterMs);
      timer.unref();
      const ids = new Set(wanted.map(({ id }) => id));
      for (const id of [...running.keys()]) if (!ids.has(id)) end(id);
      for (const entry of wanted) {
        const as = JSON.stringify(entry);
        if (running.get(entry.id)?.as === as) continue;
        end(entry.id);
        // A line that is still being given back cannot be had: the page asks again in a second.
        if (!ending.has(entry.id)) begin(entry, as);
      }
    },
    heard(raw) {
      if (page !== null) take(raw);
    },
    seen: () => [...lines.values()].map(({ last }) => last),
    touch(asked, nameOf) {
      const now = clock.now().mono;
      if (touching?.asked !== asked) touching = { asked, since: now, verdict: null };
      if (touching.verdict !== null) return touching.verdict;
      const watched = [...lines.values()].flatMap(({ last, samples }): Watched[] => {
        const key = nameOf(last.source);
        return key === null || last.unit === null
          ? []
          : [{ key, point: last.point, unit: last.unit, samples }];
      });
      const verdict = judgeTouch(watched, touching.since, now);
      if (verdict.state !== "waiting") touching.verdict = verdict;
      return verdict;
    },
    async stop() {
      endAll();
      await Promise.all(ending.values());
    },
  };
}
