import { useId, useRef, useState } from "preact/hooks";
import { type AccessView, LONGEST_PIN, SHORTEST_PIN } from "../../../station/model/access.js";
import { useDoing } from "../link/asked.js";
import { RefusalText } from "../marks/refusal.js";
import { absent, useMissing } from "../settings/missing.js";
import { askAccess } from "./ask-access.js";
import { SecretField } from "./secret-field.js";

/** With the PIN the screen on the wall, which only looks, operates for a while. */
export function PinCard({ pin, took }: { pin: AccessView["pin"]; took: (view: AccessView) => void }) {
  const id = useId();
  const [typed, setTyped] = useState("");
  const [minutes, setMinutes] = useState(String(pin.idleMinutes));
  const form = useRef<HTMLFormElement>(null);
  const { busy, refusal, attempt } = useDoing();
  const missing = absent({ pin: [typed !== "", `${SHORTEST_PIN} to ${LONGEST_PIN} digits`] });
  const { expected, allThere } = useMissing(form, missing, refusal);
  const set = async (value: string | null) => {
    if (await attempt(async () => took(await askAccess.setPin(value, Number(minutes))))) setTyped("");
  };
  return (
    <section class="card" aria-labelledby="pin-title">
      <h2 id="pin-title">PIN of the screen on the wall</h2>
      <p>
        {pin.set
          ? `One is set: with it the screen operates until nobody has done anything for ${pin.idleMinutes} min.`
          : "There is none: the screen on the wall only looks, unless somebody signs in there."}
      </p>
      <form
        class="sign-in"
        ref={form}
        noValidate
        onSubmit={(event) => {
          event.preventDefault();
          if (allThere()) void set(typed);
        }}
      >
        <SecretField
          label={pin.set ? "Another PIN" : "PIN"}
          autocomplete="off"
          value={typed}
          change={setTyped}
          expected={expected.get("pin")}
        >
          <p class="soft">
            {SHORTEST_PIN} to {LONGEST_PIN} digits.
          </p>
        </SecretField>
        <div class="field">
          <label for={id}>
            Operates for <span class="field-unit">min</span>
          </label>
          <input
            id={id}
            type="text"
            inputMode="numeric"
            value={minutes}
            aria-invalid={expected.has("idleMinutes")}
            aria-describedby={expected.has("idleMinutes") ? `${id}-expected` : undefined}
            onInput={(event) => setMinutes(event.currentTarget.value)}
          />
          {expected.has("idleMinutes") && (
            <p class="field-expected" id={`${id}-expected`}>
              Expected 1 to 480 minutes.
            </p>
          )}
        </div>
        <RefusalText refusal={refusal?.fields.size === 0 ? refusal : null} />
        <p class="row-of-buttons">
          <button type="submit" class="button" data-testid="pin-set" aria-disabled={busy}>
            Set it
          </button>
          {pin.set && (
            <button type="button" class="button" aria-disabled={busy} onClick={() => void set(null)}>
              Take it away
            </button>
          )}
        </p>
      </form>
    </section>
  );
}
