import { useEffect, useRef, useState } from "preact/hooks";
import type { CalibrationView } from "../../../station/model/calibration-view.js";
import { type Refusal, refusalOf } from "../link/ask.js";
import { askSetup } from "./ask-setup.js";

const EVERY_MS = 1_000;

export interface Thermometers {
  readonly view: CalibrationView | null;
  readonly refusal: Refusal | null;
  /** Shows what an act has answered, without waiting for the next look. */
  readonly show: (view: CalibrationView) => void;
}

/** How the thermometers do, once a second, for as long as the page is there to be seen. */
export function useThermometers(): Thermometers {
  const [view, show] = useState<CalibrationView | null>(null);
  const [refusal, setRefusal] = useState<Refusal | null>(null);
  const acts = useRef(0);
  useEffect(() => {
    let over = false;
    let timer = 0;
    const ask = () => {
      const before = acts.current;
      const asked = document.visibilityState === "hidden" ? Promise.resolve(null) : askSetup.thermometers();
      asked
        .then(
          (seen) => {
            // What was asked before somebody acted is older than the answer to that act.
            if (over || seen === null || before !== acts.current) return;
            show(seen);
            setRefusal(null);
          },
          (reason: unknown) => {
            if (!over) setRefusal(refusalOf(reason));
          },
        )
        .finally(() => {
          if (!over) timer = window.setTimeout(ask, EVERY_MS);
        });
    };
    ask();
    return () => {
      over = true;
      clearTimeout(timer);
    };
  }, []);
  return {
    view,
    refusal,
    show: (seen) => {
      acts.current += 1;
      show(seen);
    },
  };
}
