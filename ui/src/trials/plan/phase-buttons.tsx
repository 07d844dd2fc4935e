import type { PlanPhase } from "../../../../station/model/plan.js";
import type { PlanView } from "../../../../station/model/specimen.js";
import { useDoing } from "../../link/asked.js";
import { now } from "../../link/live.js";
import { RefusalText } from "../../marks/refusal.js";
import { askTrials } from "../ask-trials.js";

type Step = readonly [to: Exclude<PlanPhase, "ready">, words: string];
const STEPS: Readonly<Record<PlanPhase, readonly Step[]>> = {
  ready: [["running", "Begin"]],
  running: [
    ["paused", "Pause"],
    ["closed", "Close the plan"],
  ],
  paused: [
    ["running", "Go on"],
    ["closed", "Close the plan"],
  ],
  closed: [["running", "Go on none the less"]],
};

/** Begin, pause, go on, close. At most one plan runs, which is said before another is begun. */
export function PhaseButtons({ plan, changed }: { plan: PlanView; changed: () => void }) {
  const { busy, refusal, attempt } = useDoing();
  const other = now.value?.trial?.plan ?? null;
  const pauses = other !== null && other.id !== plan.id && plan.phase !== "running" ? other : null;
  return (
    <>
      <div class="links">
        {STEPS[plan.phase].map(([to, words]) => (
          <button
            key={to}
            type="button"
            class={to === "running" ? "button button-main" : "button"}
            data-testid={`phase-to-${to}`}
            aria-disabled={busy}
            onClick={async () => {
              if (await attempt(() => askTrials.phase(plan.id, to))) changed();
            }}
          >
            {words}
          </button>
        ))}
      </div>
      {pauses !== null && (
        <p class="soft">
          P{pauses.number} {pauses.title} is running, and will be paused.
        </p>
      )}
      <RefusalText refusal={refusal} />
    </>
  );
}
