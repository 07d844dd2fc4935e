import { useEffect, useId, useState } from "preact/hooks";
import { useLocation } from "preact-iso/router";
import { ask, type Refusal, refusalOf } from "../link/ask.js";
import { now } from "../link/live.js";
import { RefusalText } from "../marks/refusal.js";
import { usePageTitle } from "../shell/page-title.js";
import { givenName, LONGEST_NAME, nameScreen } from "../shell/screen-name.js";
import { isoText, whenText } from "../words/time.js";
import { specimenAddress } from "./addresses.js";
import { AloneLine } from "./alone-line.js";
import type { Lately } from "./kept-here.js";
import { plainCode } from "./next.js";
import { keptHere, waiting } from "./outbox.js";
import { usePlan } from "./use-plan.js";
import { sheetHere } from "./use-sheet.js";
import { Refused, WaitingCard } from "./waiting-card.js";

function CodeField() {
  const id = useId();
  const { route } = useLocation();
  const [typed, setTyped] = useState("");
  const [busy, setBusy] = useState(false);
  const [refusal, setRefusal] = useState<Refusal | null>(null);
  const open = async () => {
    if (busy || typed.trim() === "") return;
    setBusy(true);
    setRefusal(null);
    try {
      const { code } = await ask.specimen(typed.trim(), 1);
      route(specimenAddress(code));
    } catch (reason) {
      const refused = refusalOf(reason);
      const here = refused.final ? null : await sheetHere(plainCode(typed), 1).catch(() => null);
      if (here !== null) route(specimenAddress(here.code));
      else setRefusal(refused);
    } finally {
      setBusy(false);
    }
  };
  return (
    <form
      class="card code-form"
      noValidate
      onSubmit={(event) => {
        event.preventDefault();
        void open();
      }}
    >
      <label for={id}>
        <h2>Code of the specimen</h2>
      </label>
      <p class="soft">
        Five letters and digits, as on its label or engraved on it. Or point the phone's camera at the label:
        the code in it opens the specimen's page.
      </p>
      <div class="code-row">
        <input
          id={id}
          class="code-input"
          type="text"
          inputMode="text"
          autoCapitalize="characters"
          autoComplete="off"
          autoCorrect="off"
          spellcheck={false}
          enterKeyHint="go"
          maxLength={20}
          value={typed}
          aria-invalid={refusal !== null}
          onInput={(event) => {
            setTyped(event.currentTarget.value);
            setRefusal(null);
          }}
          data-testid="code"
        />
        <button type="submit" class="button button-main" data-testid="code-open" aria-disabled={busy}>
          Grade it
        </button>
      </div>
      <RefusalText refusal={refusal} />
    </form>
  );
}

function LatelyCard({ wall }: { wall: number }) {
  const [lately, setLately] = useState<readonly Lately[]>([]);
  useEffect(() => {
    let wanted = true;
    keptHere()
      .then((kept) => kept.lately())
      .then(
        (found) => wanted && setLately(found),
        () => undefined,
      );
    return () => {
      wanted = false;
    };
  }, [waiting.value]);
  const waits = new Set(waiting.value.map(({ subject }) => subject));
  return (
    <section class="card" aria-labelledby="lately-title">
      <h2 id="lately-title">Graded lately on this phone</h2>
      {lately.length === 0 && <p class="soft">None yet.</p>}
      <ul class="lately" data-testid="lately">
        {lately.map(({ code, title, wall: last }) => (
          <li key={code}>
            <a href={specimenAddress(code)}>
              <strong class="waiting-code">{code}</strong>
              <span>{title}</span>
              <span class="soft">
                <time dateTime={isoText(last)}>{whenText(last, wall)}</time>
                {waits.has(code) && ", waits here"}
              </span>
            </a>
          </li>
        ))}
      </ul>
    </section>
  );
}

function NameForm() {
  const id = useId();
  const [name, setName] = useState(givenName());
  const [kept, setKept] = useState(false);
  return (
    <form
      class="card name-form"
      onSubmit={(event) => {
        event.preventDefault();
        nameScreen(name);
        setKept(true);
      }}
    >
      <div class="field">
        <label for={id}>Name of this phone</label>
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
      <p class="soft">Grades are kept under it, and it tells a second grader from the first.</p>
    </form>
  );
}

/** Where grading begins: the code of a specimen, what waits, and what was graded lately. */
export function GradePage() {
  usePageTitle("Grade");
  const wall = now.value?.wall ?? Date.now();
  // Whoever goes to the bench from here finds the specimens of the running plan without a connection, too.
  usePlan(now.value?.trial?.plan.id ?? null);
  return (
    <div class="page grading">
      <h1>Grade a specimen</h1>
      <AloneLine />
      <CodeField />
      <Refused wall={wall} />
      <WaitingCard wall={Date.now()} />
      <LatelyCard wall={wall} />
      <NameForm />
    </div>
  );
}
