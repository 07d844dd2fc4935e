import { useId, useState } from "preact/hooks";
import { givenName, LONGEST_NAME, nameScreen } from "./screen-name.js";

/** The name under which what is done on this screen is kept. @param label what this screen is called: "Name of this phone" */
export function NameForm({ label }: { label: string }) {
  const id = useId();
  const [name, setName] = useState(givenName());
  const [kept, setKept] = useState(false);
  return (
    <form
      class="name-form"
      onSubmit={(event) => {
        event.preventDefault();
        nameScreen(name);
        setKept(true);
      }}
    >
      <div class="field">
        <label for={id}>{label}</label>
        <input
          id={id}
          type="text"
          maxLength={LONGEST_NAME}
          value={name}
          onInput={(event) => {
            setName(event.currentTarget.value);
            setKept(false);
          }}
        />
      </div>
      <button type="submit" class="button">
        Keep the name
      </button>
      <p role="status">{kept ? "Kept in this browser." : ""}</p>
    </form>
  );
}
