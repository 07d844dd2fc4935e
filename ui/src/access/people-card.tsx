import { useId, useRef, useState } from "preact/hooks";
import {
  type AccessView,
  type PersonView,
  ROLE_WORDS,
  ROLES,
  type Role,
  SHORTEST_PASSPHRASE,
} from "../../../station/model/access.js";
import { useDoing } from "../link/asked.js";
import { RefusalText } from "../marks/refusal.js";
import { absent, useMissing } from "../settings/missing.js";
import { askAccess } from "./ask-access.js";
import { NameField } from "./name-field.js";
import { SecretField } from "./secret-field.js";

type Took = (view: AccessView) => void;

export function PeopleCard({ people, took }: { people: readonly PersonView[]; took: Took }) {
  const { busy, refusal, attempt } = useDoing();
  return (
    <section class="card" aria-labelledby="people-title">
      <h2 id="people-title">People</h2>
      <ul class="access-list" data-testid="people">
        {people.map((person) => (
          <li key={person.id}>
            <strong>{person.name}</strong>
            <select
              aria-label={`What ${person.name} may`}
              value={person.role}
              aria-disabled={busy}
              onChange={(event) => {
                const role = event.currentTarget.value as Role;
                void attempt(async () => took(await askAccess.changeRole(person.id, role)));
              }}
            >
              {ROLES.map((role) => (
                <option key={role} value={role}>
                  {role}
                </option>
              ))}
            </select>
            <button
              type="button"
              class="button"
              aria-disabled={busy}
              onClick={() => void attempt(async () => took(await askAccess.removePerson(person.id)))}
            >
              Remove<span class="unseen"> {person.name}</span>
            </button>
          </li>
        ))}
      </ul>
      <RefusalText refusal={refusal} />
      <AddPerson took={took} />
    </section>
  );
}

function AddPerson({ took }: { took: Took }) {
  const id = useId();
  const [typed, setTyped] = useState<{ name: string; role: Role; passphrase: string }>({
    name: "",
    role: "operator",
    passphrase: "",
  });
  const form = useRef<HTMLFormElement>(null);
  const { busy, refusal, attempt } = useDoing();
  const missing = absent({ name: [typed.name.trim() !== "", "the name that they sign in with"] });
  const { expected, allThere } = useMissing(form, missing, refusal);
  const add = async () => {
    const { name, role, passphrase } = typed;
    if (!allThere()) return;
    if (await attempt(async () => took(await askAccess.addPerson(name, role, passphrase))))
      setTyped({ name: "", role: "operator", passphrase: "" });
  };
  return (
    <details>
      <summary>Add somebody</summary>
      <form
        class="sign-in"
        ref={form}
        noValidate
        onSubmit={(event) => {
          event.preventDefault();
          void add();
        }}
      >
        <NameField
          label="Name"
          value={typed.name}
          change={(name) => setTyped({ ...typed, name })}
          expected={expected.get("name")}
        />
        <fieldset class="field">
          <legend>May</legend>
          {ROLES.map((role) => (
            <label class="role-choice" key={role}>
              <input
                type="radio"
                name={`${id}-role`}
                checked={role === typed.role}
                onChange={() => setTyped({ ...typed, role })}
              />{" "}
              {ROLE_WORDS[role]}
            </label>
          ))}
        </fieldset>
        <SecretField
          label="Passphrase"
          autocomplete="new-password"
          value={typed.passphrase}
          change={(passphrase) => setTyped({ ...typed, passphrase })}
          expected={expected.get("passphrase")}
        >
          <p class="soft">At least {SHORTEST_PASSPHRASE} characters; have them type it themselves.</p>
        </SecretField>
        <RefusalText refusal={refusal?.fields.size === 0 ? refusal : null} />
        <button type="submit" class="button" data-testid="person-add" aria-disabled={busy}>
          Add
        </button>
      </form>
    </details>
  );
}
