import { useCallback, useEffect, useRef, useState } from "preact/hooks";
import { type Refusal, refusalOf } from "./ask.js";

export interface Asked<T> {
  readonly answer: T | null;
  readonly refusal: Refusal | null;
  /** Asks once more. Resolves when that was answered or refused: until then what is shown is older than what was just done. */
  readonly again: () => Promise<void>;
}

/**
 * Asks once, and anew whenever `key` changes; an answer to an older key is dropped. With a new key the old answer goes at
 * once, so that nothing of an earlier start of the station stays on the page.
 */
export function useAsked<T>(key: string, question: () => Promise<T>): Asked<T> {
  const [state, setState] = useState<{ key: string; answer: T | null; refusal: Refusal | null }>();
  const [round, setRound] = useState(0);
  const asked = useRef(round);
  const waiting = useRef<readonly { round: number; told: () => void }[]>([]);
  const latest = useRef(question);
  latest.current = question;
  useEffect(() => {
    let wanted = true;
    const settle = (answer: T | null, refusal: Refusal | null) => {
      if (!wanted) return;
      setState({ key, answer, refusal });
      for (const each of waiting.current) if (each.round <= round) each.told();
      waiting.current = waiting.current.filter((each) => each.round > round);
    };
    latest.current().then(
      (answer) => settle(answer, null),
      (reason: unknown) => settle(null, refusalOf(reason)),
    );
    return () => {
      wanted = false;
    };
  }, [key, round]);
  const again = useCallback(() => {
    asked.current += 1;
    setRound(asked.current);
    return new Promise<void>((told) => {
      waiting.current = [...waiting.current, { round: asked.current, told }];
    });
  }, []);
  const current = state?.key === key ? state : null;
  return { answer: current?.answer ?? null, refusal: current?.refusal ?? null, again };
}

/** Asks as `useAsked`, and again whenever `stir` changes, holding the old answer until the new one is there. */
export function useFollowed<T>(key: string, stir: string, question: () => Promise<T>): Asked<T> {
  const asked = useAsked(key, question);
  const known = useRef(stir);
  useEffect(() => {
    if (known.current === stir) return;
    known.current = stir;
    asked.again();
  }, [stir, asked.again]);
  return asked;
}

export interface Doing {
  readonly busy: boolean;
  readonly refusal: Refusal | null;
  /** Does one thing at a time: a second press while the first is under way is ignored. Resolves to whether it was done. */
  readonly attempt: (deed: () => Promise<unknown>) => Promise<boolean>;
  readonly forget: () => void;
}

/** A button's errand to the station: busy while it lasts, and the refusal if there is one. */
export function useDoing(): Doing {
  const [busy, setBusy] = useState(false);
  const [refusal, setRefusal] = useState<Refusal | null>(null);
  const under = useRef(false);
  const attempt = useCallback(async (deed: () => Promise<unknown>) => {
    if (under.current) return false;
    under.current = true;
    setBusy(true);
    setRefusal(null);
    try {
      await deed();
      return true;
    } catch (reason) {
      setRefusal(refusalOf(reason));
      return false;
    } finally {
      under.current = false;
      setBusy(false);
    }
  }, []);
  const forget = useCallback(() => setRefusal(null), []);
  return { busy, refusal, attempt, forget };
}
