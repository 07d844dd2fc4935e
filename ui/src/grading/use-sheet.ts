import { useCallback, useEffect, useState } from "preact/hooks";
import type { GradingSheet } from "../../../station/model/specimen.js";
import { ask, type Refusal, refusalOf } from "../link/ask.js";
import { linkUp } from "../link/heard.js";
import { start } from "../link/live.js";
import { plainCode, sheetFromPlan } from "./next.js";
import { keptHere, settledCount } from "./outbox.js";

interface State {
  readonly key: string;
  readonly sheet: GradingSheet | null;
  /** The station's answer, and not what this browser had kept. */
  readonly fresh: boolean;
  readonly refusal: Refusal | null;
}

/** What this browser has of a specimen: its sheet as it last was, or what its plan says of it. */
export async function sheetHere(code: string, grading: 1 | 2): Promise<GradingSheet | null> {
  const kept = await keptHere();
  const sheet = await kept.sheet(code, grading);
  if (sheet !== null) return sheet;
  const plan = await kept.planWith(code);
  return plan === null ? null : sheetFromPlan(plan, code, grading);
}

/** The sheet of a specimen: at once what this browser has of it, and then what the station says, each time something changed. */
export function useSheet(typed: string, grading: 1 | 2) {
  const key = `${plainCode(typed)} ${grading}`;
  const [state, setState] = useState<State | null>(null);
  const [round, setRound] = useState(0);
  const again = useCallback(() => setRound((n) => n + 1), []);
  useEffect(() => {
    let wanted = true;
    const show = (found: Omit<State, "key">) => {
      if (wanted) setState({ key, ...found });
    };
    const load = async () => {
      const here = await sheetHere(plainCode(typed), grading).catch(() => null);
      if (here !== null)
        setState((was) =>
          wanted && was?.key !== key ? { key, sheet: here, fresh: false, refusal: null } : was,
        );
      try {
        const sheet = await ask.specimen(typed, grading);
        show({ sheet, fresh: true, refusal: null });
        await (await keptHere()).keepSheet(sheet);
      } catch (reason) {
        const refusal = refusalOf(reason);
        // What the station does not know any more is not shown from here either.
        const sheet = refusal.final ? null : here;
        if (wanted)
          setState((was) =>
            was?.key === key && was.fresh && !refusal.final ? was : { key, sheet, fresh: false, refusal },
          );
      }
    };
    void load();
    return () => {
      wanted = false;
    };
  }, [key, start.value, linkUp.value, settledCount.value, round]);
  return state?.key === key ? { ...state, again } : { sheet: null, fresh: false, refusal: null, again };
}
