import { useLocation } from "preact-iso/router";
import { pinAddress } from "../access/back.js";
import { me } from "../access/me.js";
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

/** To whoever may do it: with the PIN at the screen, or signed in; and back again. */
function WayIn({ code }: { code: string }) {
  const { url } = useLocation();
  if (code !== "not-allowed" && code !== "sign-in-needed") return null;
  const pin = code === "not-allowed" && me.value?.role === "viewer" && me.value.pinSet;
  return (
    <a class="button" href={pin ? pinAddress(url) : "/sign-in"} data-testid="way-in">
      {pin ? "Enter the PIN" : "Sign in"}
    </a>
  );
}

/** Why the station said no, with the way to try again where there is one. */
export function RefusalText({ refusal, again }: Asked) {
  if (refusal === null) return null;
  return (
    <div class="refusal" role="alert">
      <p>{refusal.message}</p>
      <WayIn code={refusal.code} />
      {again && !refusal.final && (
        <button type="button" class="button" onClick={again}>
          Try again
        </button>
      )}
    </div>
  );
}
