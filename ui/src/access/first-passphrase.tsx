import { useId, useState } from "preact/hooks";
import { LONGEST_PERSON, SHORTEST_PASSPHRASE } from "../../../station/model/access.js";
import { useDoing } from "../link/asked.js";
import { RefusalText } from "../marks/refusal.js";
import { askAccess } from "./ask-access.js";
import { nowIs } from "./me.js";
import { SecretField } from "./secret-field.js";

/** The door stands open to whoever sits at the station, and to nobody else, until this is filled in. */
export function FirstPassphrase() {
  const id = useId();
  const [name, setName] = useState("Owner");
  const [passphrase, setPassphrase] = useState("");
  const { busy, refusal, attempt } = useDoing();
  return (
    <form
      class="card sign-in"
      aria-labelledby="first-title"
      onSubmit={(event) => {
        event.preventDefault();
        void attempt(async () => nowIs(await askAccess.begin(name.trim(), passphrase)));
      }}
    >
      <h2 id="first-title">Set a passphrase</h2>
      <p>
        There is none yet: the station listens on itself only, and whoever sits at it may do everything. With
        one, phones are let in from the workshop's network, and everybody signs in.
      </p>
      <div class="field">
        <label for={id}>Your name</label>
        <input
          id={id}
          type="text"
          autocomplete="username"
          maxLength={LONGEST_PERSON}
          value={name}
          onInput={(event) => setName(event.currentTarget.value)}
        />
      </div>
      <SecretField
        label="Passphrase"
        testId="first-passphrase"
        autocomplete="new-password"
        value={passphrase}
        change={setPassphrase}
        expected={refusal?.fields.get("passphrase")}
      >
        <p class="soft">
          At least {SHORTEST_PASSPHRASE} characters. Four words that have nothing to do with each other will
          do; write them down and keep the paper where nobody else looks.
        </p>
      </SecretField>
      <RefusalText refusal={refusal?.fields.size === 0 ? refusal : null} />
      <button
        type="submit"
        class="button button-main"
        data-testid="first-set"
        disabled={name.trim() === ""}
        aria-disabled={busy}
      >
        Set it
      </button>
    </form>
  );
}
