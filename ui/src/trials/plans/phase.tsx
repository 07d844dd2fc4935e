import type { PlanPhase } from "../../../../station/model/plan.js";

export const PHASE_WORDS: Readonly<Record<PlanPhase, string>> = {
  ready: "Not begun",
  running: "Running",
  paused: "Paused",
  closed: "Closed",
};

/** An empty ring, a pointer, two bars, a full square: told apart without colour. */
export function PhaseMark({ phase }: { phase: PlanPhase }) {
  return (
    <span class="phase" data-testid={`phase-${phase}`}>
      <svg class="sign" viewBox="0 0 32 32" aria-hidden="true">
        {phase === "ready" && <circle cx="16" cy="16" r="10" />}
        {phase === "running" && <path class="filled" d="M9 5v22l18-11z" />}
        {phase === "paused" && <path d="M11 6v20M21 6v20" />}
        {phase === "closed" && <path class="filled" d="M7 7h18v18H7z" />}
      </svg>
      <span>{PHASE_WORDS[phase]}</span>
    </span>
  );
}
