import { useLocation } from "preact-iso/router";
import { Sign } from "../marks/signs.js";
import { pinAddress } from "./back.js";
import { me } from "./me.js";

const WORDS = { viewer: "looks", operator: "operates", owner: "owner" } as const;

/** In the bar: who this screen belongs to, and the way to change that. */
export function WhoAmI() {
  const { url } = useLocation();
  const known = me.value;
  if (known === null) return null;
  const { state, role, who, pinSet } = known;
  const byPin = state === "locked" && known.raisedLeftMs !== null;
  const to = byPin || (role === "viewer" && pinSet) ? pinAddress(url) : "/access";
  const words =
    state === "open"
      ? "Access"
      : role === null
        ? "Sign in"
        : role === "owner"
          ? (who ?? "owner")
          : WORDS[role];
  return (
    <a class="tool" href={role === null ? "/sign-in" : to} data-testid="who-am-i" title={who ?? undefined}>
      <Sign name={state === "open" ? "unlocked" : "person"} />
      <span class="tool-word">{words}</span>
    </a>
  );
}
