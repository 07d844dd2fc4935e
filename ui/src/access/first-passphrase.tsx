import { useRef, useState } from "preact/hooks";
import { SHORTEST_PASSPHRASE } from "../../../station/model/access.js";
import { useDoing } from "../link/asked.js";
import { RefusalText } from "../marks/refusal.js";
import { absent, useMissing } from "../settings/missing.js";
import { askAccess } from "./ask-access.js";
import { nowIs } from "./me.js";
import { NameField } from "./name-field.js";
import { SecretField } from "./secret-field.js";

/** The door stands open to whoever sits at the station, and to nobody else, until this is filled in. */
export function FirstPassphrase() {
  const form = useRef<HTMLFormElement>(null);
  const [name, setName] = useState("Owner");
  const [passphrase, setPassphrase] = useState("");
  const { busy, refusal, attempt } = useDoing();
  const missing = absent({ name: [name.trim() !== "", "the name that you sign in with"] });
  const { expected, allThere } = useMissing(form, missing, refusal);
  return (
    <form
      class="card sign-in"
      ref={form}
      noValidate
      aria-labelledby="first-title"
      onSubmit={(event) => {
        event.preventDefault();
        if (allThere()) void attempt(async () => nowIs(await askAccess.begin(name.trim(), passphrase)));
      }}
    >
      <h2 id="first-title">Set a passphrase</h2>
      <p>
        There is none yet: the station listens on itself only, and whoever sits at it may do everything. With
        one, phones are let in from the workshop's network, and everybody signs in.
      </p>
      <NameField
        label="Your name"
        autocomplete="username"
        value={name}
        change={setName}
        expected={expected.get("name")}
      />
      <SecretField
        label="Passphrase"
        testId="first-passphrase"
        autocomplete="new-password"
        value={passphrase}
        change={setPassphrase}
        expected={expected.get("passphrase")}
      >
        <p class="soft">
          At least {SHORTEST_PASSPHRASE} characters. Four words that have nothing to do with each other will
          do; write them down and keep the paper where nobody else looks.
        </p>
      </SecretField>
      <RefusalText refusal={refusal?.fields.size === 0 ? refusal : null} />
      <button type="submit" class="button button-main" data-testid="first-set" aria-disabled={busy}>
        Set it
      </button>
    </form>
  );
}
