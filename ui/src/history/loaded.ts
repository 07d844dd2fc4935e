import { useEffect, useRef, useState } from "preact/hooks";
import type { Marks } from "../../../station/model/marks.js";
import type { Series } from "../../../station/model/now.js";
import { ask, type Refusal } from "../link/ask.js";
import { createErrand, type Errand } from "../link/errand.js";
import { start } from "../link/live.js";
import type { Span } from "./span.js";

/** A span that is still being moved is not asked for. */
const QUIET_MS = 150;
const MOST_MARKS = 300;
/** The station gives no more. */
const MOST_BUCKETS = 2000;
const FEWEST_BUCKETS = 20;

export interface Loaded {
  /** By channel: what came last, which may be of another span than is shown until the next has come. */
  readonly series: ReadonlyMap<string, Series>;
  readonly marks: Marks | null;
  readonly loading: boolean;
  readonly refusal: Refusal | null;
  readonly again: () => void;
}

interface State {
  readonly series: ReadonlyMap<string, Series>;
  readonly marks: Marks | null;
  readonly waiting: ReadonlySet<string>;
  /** Of the last questions. */
  readonly key: string;
  readonly refusal: Refusal | null;
}

const NOTHING: State = { series: new Map(), marks: null, waiting: new Set(), key: "", refusal: null };
const MARKS = "marks";

function without(waiting: ReadonlySet<string>, key: string): ReadonlySet<string> {
  const left = new Set(waiting);
  left.delete(key);
  return left;
}

/**
 * Asks for the span's buckets, about one a pixel, and its marks. What is there stays until its successor has come; a
 * question that is overtaken is given up, so that no channel has more than one on its way.
 * @param widthPx of the drawing; 0 while it is not known
 */
export function useLoaded(channels: readonly string[], span: Span, widthPx: number): Loaded {
  const [state, setState] = useState<State>(NOTHING);
  const [round, setRound] = useState(0);
  const errands = useRef(new Map<string, Errand<unknown>>());
  const asked = useRef(false);
  const key = [start.value, channels.join(), span.from, span.to, widthPx, round].join(" ");

  const refused = (key: string) => (refusal: Refusal) =>
    setState((was) => {
      // What is there is of another span: it is kept while its successor is on its way, and no longer.
      const series = new Map(was.series);
      series.delete(key);
      const marks = key === MARKS ? null : was.marks;
      return { ...was, series, marks, waiting: without(was.waiting, key), refusal };
    });
  const errandOf = <T>(key: string, put: (was: State, answer: T) => Partial<State>): Errand<T> => {
    const known = errands.current.get(key);
    if (known !== undefined) return known as Errand<T>;
    const made = createErrand<T>(
      (answer) => setState((was) => ({ ...was, waiting: without(was.waiting, key), ...put(was, answer) })),
      refused(key),
    );
    errands.current.set(key, made as Errand<unknown>);
    return made;
  };

  const begin = () => {
    const { from, to } = span;
    const buckets = Math.min(MOST_BUCKETS, Math.max(FEWEST_BUCKETS, Math.round(widthPx)));
    const wanted = new Set(channels);
    for (const [key, errand] of errands.current) if (key !== MARKS && !wanted.has(key)) errand.stop();
    setState((was) => ({
      ...was,
      series: new Map([...was.series].filter(([id]) => wanted.has(id))),
      waiting: new Set([...channels, MARKS]),
      key,
      refusal: null,
    }));
    for (const channel of channels) {
      errandOf<Series>(channel, (was, series) => ({ series: new Map(was.series).set(channel, series) })).ask(
        (signal) => ask.series({ channel, from, to, buckets }, signal),
      );
    }
    errandOf<Marks>(MARKS, (_, marks) => ({ marks })).ask((signal) =>
      ask.marks({ from, to, limit: MOST_MARKS }, signal),
    );
  };

  useEffect(() => {
    if (widthPx <= 0) return;
    const timer = setTimeout(begin, asked.current ? QUIET_MS : 0);
    asked.current = true;
    return () => clearTimeout(timer);
  }, [key, widthPx > 0]);
  useEffect(
    () => () => {
      for (const errand of errands.current.values()) errand.stop();
    },
    [],
  );

  const { series, marks, waiting, refusal } = state;
  return {
    series,
    marks,
    refusal,
    loading: state.key !== key || waiting.size > 0,
    again: () => setRound((n) => n + 1),
  };
}
