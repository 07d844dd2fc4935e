import type { Refusal } from "../link/ask.js";

interface Asked {
  readonly refusal: Refusal | null;
  readonly again?: () => void;
}

/** The same for what a page is about: an address that leads to nothing is told in a plain sentence. @param what "plan" */
export function NoSuch({ what, refusal, again }: Asked & { what: string }) {
  if (!refusal?.final) return <RefusalText refusal={refusal} {...(again ? { again } : {})} />;
  return (
    <p class="refusal" role="alert" data-testid="no-such">
      There is no {what} at this address.
    </p>
  );
}

/** Why the station said no, with the way to try again where there is one. */
export function RefusalText({ refusal, again }: Asked) {
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
