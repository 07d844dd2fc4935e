import type { SpecimenState } from "../../../../station/model/specimen.js";

export const STATE_WORDS: Readonly<Record<SpecimenState, string>> = {
  waiting: "Waiting",
  cutting: "Being cut",
  cut: "Cut",
  spoilt: "Spoilt",
  skipped: "Skipped",
};

/** An empty ring, a pointer in one, a tick, a cross, an arrow that passes by: told apart without colour. */
export function StateMark({ state }: { state: SpecimenState }) {
  return (
    <span class={`state state-${state}`}>
      <svg class="sign" viewBox="0 0 32 32" aria-hidden="true">
        {state === "waiting" && <circle cx="16" cy="16" r="11" />}
        {state === "cutting" && (
          <path d="M16 5a11 11 0 1 0 0 22 11 11 0 0 0 0-22zM13 10.500v11l8.500-5.500z" />
        )}
        {state === "cut" && (
          <path d="M16 5a11 11 0 1 0 0 22 11 11 0 0 0 0-22zM10.500 16.500l4 4 7.500-8.500" />
        )}
        {state === "spoilt" && <path d="M7 7l18 18M25 7 7 25" />}
        {state === "skipped" && <path d="M4 21c4-12 16-12 20-1M25.500 12v9h-9" />}
      </svg>
      <span>{STATE_WORDS[state]}</span>
    </span>
  );
}
