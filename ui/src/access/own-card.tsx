import { useState } from "preact/hooks";
import { ROLE_WORDS, SHORTEST_PASSPHRASE } from "../../../station/model/access.js";
import { useDoing } from "../link/asked.js";
import { RefusalText } from "../marks/refusal.js";
import { askAccess } from "./ask-access.js";
import { me, nowIs } from "./me.js";
import { SecretField } from "./secret-field.js";

/** Who this screen belongs to at the moment, and the way out. */
export function OwnCard() {
  const { busy, refusal, attempt } = useDoing();
  const known = me.value;
  if (known?.role == null) return null;
  return (
    <section class="card" aria-labelledby="own-title">
      <h2 id="own-title">{known.who ?? "The station's own screen"}</h2>
      <p data-testid="own-role">This screen {ROLE_WORDS[known.role]}.</p>
      <p class="row-of-buttons">
        {known.who === null ? (
          <a class="button button-main" href="/sign-in">
            Sign in
          </a>
        ) : (
          <button
            type="button"
            class="button"
            data-testid="sign-out"
            aria-disabled={busy}
            onClick={() => void attempt(async () => nowIs(await askAccess.signOut()))}
          >
            Sign out
          </button>
        )}
        {known.pinSet && known.role === "viewer" && (
          <a class="button" href="/pin?back=/access">
            Enter the PIN
          </a>
        )}
      </p>
      <RefusalText refusal={refusal} />
      {known.ownPassphrase && <ChangeOwn />}
    </section>
  );
}

function ChangeOwn() {
  const [typed, setTyped] = useState({ current: "", next: "" });
  const [changed, setChanged] = useState(false);
  const { busy, refusal, attempt } = useDoing();
  const change = async () => {
    const done = await attempt(async () => nowIs(await askAccess.changeOwn(typed.current, typed.next)));
    setChanged(done);
    if (done) setTyped({ current: "", next: "" });
  };
  return (
    <details>
      <summary>Change the passphrase</summary>
      <form
        class="sign-in"
        onSubmit={(event) => {
          event.preventDefault();
          void change();
        }}
      >
        <SecretField
          label="As it is now"
          autocomplete="current-password"
          value={typed.current}
          change={(current) => setTyped({ ...typed, current })}
        />
        <SecretField
          label="The new one"
          autocomplete="new-password"
          value={typed.next}
          change={(next) => setTyped({ ...typed, next })}
          expected={refusal?.fields.get("passphrase")}
        >
          <p class="soft">
            At least {SHORTEST_PASSPHRASE} characters. Your phones have to be paired anew afterwards.
          </p>
        </SecretField>
        <RefusalText refusal={refusal?.fields.size === 0 ? refusal : null} />
        <button type="submit" class="button" aria-disabled={busy}>
          Change it
        </button>
        <p role="status">{changed ? "Changed." : ""}</p>
      </form>
    </details>
  );
}
