import { useId, useMemo, useState } from "preact/hooks";
import { LONGEST_PERSON } from "../../../station/model/access.js";
import { useDoing } from "../link/asked.js";
import { RefusalText } from "../marks/refusal.js";
import { usePageTitle } from "../shell/page-title.js";
import { givenName, nameScreen } from "../shell/screen-name.js";
import { askAccess } from "./ask-access.js";
import { nowIs } from "./me.js";

/** Where the code on a signed-in screen leads a phone. Only the press of the button uses the code up. */
export function PairPage() {
  usePageTitle("Pair this phone");
  const id = useId();
  // Taken out of the address at once, so that it does not stay in the history of the phone.
  const token = useMemo(() => {
    const found = location.hash.slice(1);
    if (found !== "") history.replaceState(null, "", location.pathname);
    return found;
  }, []);
  const [name, setName] = useState(givenName());
  const [done, setDone] = useState(false);
  const { busy, refusal, attempt } = useDoing();
  const pair = async () => {
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
          onSubmit={(event) => {
            event.preventDefault();
            void pair();
          }}
        >
          <div class="field">
            <label for={id}>Your name, or the phone's</label>
            <input
              id={id}
              type="text"
              data-testid="pair-name"
              maxLength={LONGEST_PERSON}
              value={name}
              onInput={(event) => setName(event.currentTarget.value)}
            />
          </div>
          <p class="soft">What is done on this phone is kept under this name.</p>
          <RefusalText refusal={refusal} />
          <button
            type="submit"
            class="button button-main"
            data-testid="pair"
            disabled={name.trim() === ""}
            aria-disabled={busy}
          >
            Pair this phone
          </button>
        </form>
      )}
    </div>
  );
}
