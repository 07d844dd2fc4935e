import type { ConditionVerdict } from "../../../station/model/review.js";
import { VERDICT_WORDS } from "./words.js";

/** A filled ring with a stroke, the half of it, a ring with a tick, a broken ring with a question. */
export function VerdictMark({ verdict }: { verdict: ConditionVerdict }) {
  return (
    <span class={`review-verdict review-verdict-${verdict.replace(" ", "-")}`} data-testid="verdict">
      <svg class="fit-shape" viewBox="0 0 32 32" aria-hidden="true">
        {verdict === "explains" && (
          <>
            <circle class="review-filled" cx="16" cy="16" r="13" />
            <path class="review-on-filled" d="M16 9v9M16 23v.4" />
          </>
        )}
        {verdict === "may explain" && (
          <>
            <path class="review-filled" d="M16 3a13 13 0 0 0 0 26z" />
            <circle cx="16" cy="16" r="13" />
          </>
        )}
        {verdict === "no sign" && (
          <>
            <circle cx="16" cy="16" r="13" />
            <path d="m9.500 16.500 4.500 4.500 8.500-9.500" />
          </>
        )}
        {verdict === "cannot tell" && (
          <>
            <circle cx="16" cy="16" r="13" stroke-dasharray="5.2 3" />
            <path d="M12.200 12.500a3.900 3.900 0 1 1 5.600 3.500c-1.200.6-1.800 1.400-1.800 2.800M16 23v.4" />
          </>
        )}
      </svg>
      <span>{VERDICT_WORDS[verdict]}</span>
    </span>
  );
}
