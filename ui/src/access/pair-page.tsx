import { useMemo, useRef, useState } from "preact/hooks";
import { useDoing } from "../link/asked.js";
import { RefusalText } from "../marks/refusal.js";
import { absent, useMissing } from "../settings/missing.js";
import { usePageTitle } from "../shell/page-title.js";
import { givenName, nameScreen } from "../shell/screen-name.js";
import { askAccess } from "./ask-access.js";
import { nowIs } from "./me.js";
import { NameField } from "./name-field.js";

/** Where the code on a signed-in screen leads a phone. Only the press of the button uses the code up. */
export function PairPage() {
  usePageTitle("Pair this phone");
  const form = useRef<HTMLFormElement>(null);
  // Taken out of the address at once, so that it does not stay in the history of the phone.
  const token = useMemo(() => {
    const found = location.hash.slice(1);
    if (found !== "") history.replaceState(null, "", location.pathname);
    return found;
  }, []);
  const [name, setName] = useState(givenName());
  const [done, setDone] = useState(false);
  const { busy, refusal, attempt } = useDoing();
  const missing = absent({ name: [name.trim() !== "", "a name to know it by"] });
  const { expected, allThere } = useMissing(form, missing);
  const pair = async () => {
    if (!allThere()) return;
    if (await attempt(async () => nowIs(await askAccess.pair(token, name.trim())))) {
      nameScreen(name);
      setDone(true);
    }
  };
  if (done)
    return (
      <div class="page page-narrow">
        <h1>Paired</h1>
        <p>
          <a class="button button-main" href="/" data-testid="paired">
            Go to Now
          </a>
        </p>
      </div>
    );
  return (
    <div class="page page-narrow">
      <h1>Pair this phone</h1>
      {token === "" ? (
        <p>There is no code in this address. Point the camera at the one on the signed-in screen.</p>
      ) : (
        <form
          class="card sign-in"
          ref={form}
          noValidate
          onSubmit={(event) => {
            event.preventDefault();
            void pair();
          }}
        >
          <NameField
            label="Your name, or the phone's"
            testId="pair-name"
            value={name}
            change={setName}
            expected={expected.get("name")}
          />
          <p class="soft">What is done on this phone is kept under this name.</p>
          <RefusalText refusal={refusal} />
          <button type="submit" class="button button-main" data-testid="pair" aria-disabled={busy}>
            Pair this phone
          </button>
        </form>
      )}
    </div>
  );
}
