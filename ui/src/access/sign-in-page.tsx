import { useId, useState } from "preact/hooks";
import { useLocation } from "preact-iso/router";
import { LONGEST_PERSON } from "../../../station/model/access.js";
import { useDoing } from "../link/asked.js";
import { RefusalText } from "../marks/refusal.js";
import { usePageTitle } from "../shell/page-title.js";
import { askAccess } from "./ask-access.js";
import { locked, me, nowIs } from "./me.js";
import { SecretField } from "./secret-field.js";

/** Stands in the place of any page until somebody has signed in, and then that page is there. */
export function SignInPage() {
  usePageTitle("Sign in");
  const { path, route } = useLocation();
  const name = useId();
  const [typed, setTyped] = useState({ name: "Owner", passphrase: "" });
  const { busy, refusal, attempt } = useDoing();
  const signIn = async () => {
    const done = await attempt(async () => nowIs(await askAccess.signIn(typed.name, typed.passphrase)));
    setTyped({ ...typed, passphrase: "" });
    if (done && path === "/sign-in") route("/", true);
  };
  return (
    <div class="page page-narrow">
      <h1>Sign in{me.value === null ? "" : ` to ${me.value.stationName}`}</h1>
      {locked.value ? (
        <form
          class="card sign-in"
          onSubmit={(event) => {
            event.preventDefault();
            void signIn();
          }}
        >
          <div class="field">
            <label for={name}>Name</label>
            <input
              id={name}
              type="text"
              data-testid="sign-in-name"
              autocomplete="username"
              autocapitalize="none"
              maxLength={LONGEST_PERSON}
              value={typed.name}
              onInput={(event) => setTyped({ ...typed, name: event.currentTarget.value })}
            />
          </div>
          <SecretField
            label="Passphrase"
            testId="sign-in-passphrase"
            autocomplete="current-password"
            value={typed.passphrase}
            change={(passphrase) => setTyped({ ...typed, passphrase })}
          />
          <RefusalText refusal={refusal} />
          <button type="submit" class="button button-main" data-testid="sign-in" aria-disabled={busy}>
            {busy ? "One moment…" : "Sign in"}
          </button>
        </form>
      ) : (
        <p>No passphrase is set. Set one on the station's own screen, on the page Access.</p>
      )}
      <p class="soft">
        Or have this phone paired: whoever is signed in shows a code on the page Access, and you point the
        camera at it.
      </p>
    </div>
  );
}
