import type { Fitness } from "../../../station/model/now.js";

export const FITNESS_WORDS: Readonly<Record<Fitness, string>> = {
  fit: "Fit to cut",
  "not-yet": "Start the extraction first",
  "not-fit": "Not fit to cut",
  "cannot-tell": "Cannot tell",
};

/** Of one check: in the words of a list. */
export const CHECK_WORDS: Readonly<Record<Fitness, string>> = {
  fit: "in order",
  "not-yet": "to be done first",
  "not-fit": "not in order",
  "cannot-tell": "cannot tell",
};

/** A tick in a ring, a pointer in a ring, a barred square, a question in a broken ring. */
export function FitnessShape({ fitness }: { fitness: Fitness }) {
  return (
    <svg class={`fit-shape fit-shape-${fitness}`} viewBox="0 0 32 32" aria-hidden="true">
      {fitness === "fit" && (
        <>
          <circle cx="16" cy="16" r="13" />
          <path d="m9.5 16.5 4.5 4.5 8.5-9.5" />
        </>
      )}
      {fitness === "not-yet" && (
        <>
          <circle cx="16" cy="16" r="13" />
          <path d="M13 10v12l9-6z" />
        </>
      )}
      {fitness === "not-fit" && (
        <>
          <rect class="fit-body" x="3" y="3" width="26" height="26" rx="3" />
          <path class="fit-bar" d="M9 16h14" />
        </>
      )}
      {fitness === "cannot-tell" && (
        <>
          <circle cx="16" cy="16" r="13" stroke-dasharray="5.2 3" />
          <path d="M12.2 12.5a3.9 3.9 0 1 1 5.6 3.5c-1.2.6-1.8 1.4-1.8 2.8M16 23v.4" />
        </>
      )}
    </svg>
  );
}
