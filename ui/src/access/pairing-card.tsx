import { useEffect, useId, useState } from "preact/hooks";
import { type PairingView, ROLE_WORDS, ROLES, type Role } from "../../../station/model/access.js";
import { useDoing } from "../link/asked.js";
import { RefusalText } from "../marks/refusal.js";
import { askAccess } from "./ask-access.js";
import { may, me } from "./me.js";

/** Shows a code that lets one phone in, once, for two minutes. @param addresses where the station can be reached */
export function PairingCard({ addresses }: { addresses: readonly string[] }) {
  const id = useId();
  // What a PIN allows is not handed on.
  const byPin = (me.value?.raisedLeftMs ?? null) !== null;
  const roles = byPin ? (["viewer"] as const) : ROLES.filter(may);
  const [role, setRole] = useState<Role>(byPin ? "viewer" : "operator");
  const [at, setAt] = useState<string | null>(null);
  const [shown, setShown] = useState<PairingView | null>(null);
  const { busy, refusal, attempt } = useDoing();
  useEffect(() => {
    if (shown === null) return;
    const timer = setTimeout(() => setShown(null), shown.endsInMs);
    return () => clearTimeout(timer);
  }, [shown]);
  const show = () => void attempt(async () => setShown(await askAccess.offerPairing(role, at)));
  return (
    <section class="card" aria-labelledby="pairing-title">
      <h2 id="pairing-title">Pair a phone</h2>
      <fieldset class="field">
        <legend>The phone may</legend>
        {roles.map((each) => (
          <label class="role-choice" key={each}>
            <input type="radio" name={id} checked={each === role} onChange={() => setRole(each)} />{" "}
            {ROLE_WORDS[each]}
          </label>
        ))}
      </fieldset>
      {addresses.length > 1 && (
        <div class="field">
          <label for={`${id}-at`}>The phone finds the station at</label>
          <select id={`${id}-at`} onChange={(event) => setAt(event.currentTarget.value)}>
            {addresses.map((address) => (
              <option key={address} value={address}>
                {address}
              </option>
            ))}
          </select>
        </div>
      )}
      <RefusalText refusal={refusal} />
      <button
        type="button"
        class="button button-main"
        data-testid="pairing-show"
        aria-disabled={busy}
        onClick={show}
      >
        {shown === null ? "Show a code" : "Show a new code"}
      </button>
      {shown !== null && (
        <div class="pairing" data-testid="pairing" data-address={shown.address}>
          <svg
            class="pairing-code"
            viewBox={`0 0 ${shown.qr.modules} ${shown.qr.modules}`}
            role="img"
            aria-label="The code, for the camera of a phone"
          >
            <rect width={shown.qr.modules} height={shown.qr.modules} class="pairing-light" />
            <path d={shown.qr.path} class="pairing-dark" />
          </svg>
          <p>
            Point the phone's camera at it, open the address, and press the button there. It is good for one
            phone, for two minutes.
          </p>
        </div>
      )}
    </section>
  );
}
