import { useEffect, useState } from "preact/hooks";
import type { PlanView } from "../../../station/model/specimen.js";
import { ask } from "../link/ask.js";
import { linkUp } from "../link/heard.js";
import { start } from "../link/live.js";
import { keptHere } from "./outbox.js";

/**
 * A plan as this browser has it, and then as the station says. It is kept, so that each of its specimens can be graded without a
 * connection. Null for no plan, and until there is one.
 */
export function usePlan(id: string | null): PlanView | null {
  const [plan, setPlan] = useState<PlanView | null>(null);
  useEffect(() => {
    if (id === null) return;
    let wanted = true;
    const load = async () => {
      const kept = await keptHere();
      const here = await kept.plan(id);
      if (wanted && here !== null) setPlan(here);
      const answer = await ask.plan(id);
      if (wanted) setPlan(answer);
      await kept.keepPlan(answer);
    };
    // Without an answer it is what this browser has, and there is none where it has none.
    load().catch(() => undefined);
    return () => {
      wanted = false;
    };
  }, [id, start.value, linkUp.value]);
  return plan?.id === id ? plan : null;
}
