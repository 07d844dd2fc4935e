import { useEffect, useRef, useState } from "preact/hooks";
import type { SetupValues } from "../../../station/model/setup.js";
import { type Refusal, refusalOf } from "../link/ask.js";
import { newId } from "../link/new-id.js";
import { askSetup, type LooksAt } from "./ask-setup.js";

const EVERY_MS = 1_000;

export interface Values {
  readonly seen: SetupValues | null;
  readonly refusal: Refusal | null;
  /** Looks here again, where another page had taken over. */
  readonly lookHere: () => void;
}

/** Asks once a second what is read, for as long as the page is there to be seen. */
export function useValues(at: LooksAt, touch: string | null): Values {
  const [page, setPage] = useState(newId);
  const [seen, setSeen] = useState<SetupValues | null>(null);
  const [refusal, setRefusal] = useState<Refusal | null>(null);
  const latest = useRef({ at, touch });
  latest.current = { at, touch };
  useEffect(() => {
    const over = new AbortController();
    let timer = 0;
    const again = () => {
      if (!over.signal.aborted) timer = window.setTimeout(ask, EVERY_MS);
    };
    const ask = () => {
      if (document.visibilityState === "hidden") {
        again();
        return;
      }
      const { at: now, touch: asked } = latest.current;
      askSetup.values(page, now, asked, over.signal).then(
        (values) => {
          if (over.signal.aborted) return;
          setSeen(values);
          setRefusal(null);
          again();
        },
        (reason: unknown) => {
          if (over.signal.aborted) return;
          const refused = refusalOf(reason);
          setRefusal(refused);
          // Two pages that take it from each other would read nothing at all.
          if (refused.code !== "setup-taken-over") again();
        },
      );
    };
    ask();
    return () => {
      over.abort();
      clearTimeout(timer);
    };
  }, [page]);
  return { seen, refusal, lookHere: () => setPage(newId()) };
}
