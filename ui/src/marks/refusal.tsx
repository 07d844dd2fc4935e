import type { Refusal } from "../link/ask.js";

/** Why the station said no, with the way to try again where there is one. */
export function RefusalText({ refusal, again }: { refusal: Refusal | null; again?: () => void }) {
  if (refusal === null) return null;
  return (
    <div class="refusal" role="alert">
      <p>{refusal.message}</p>
      {again && !refusal.final && (
        <button type="button" class="button" onClick={again}>
          Try again
        </button>
      )}
    </div>
  );
}
