import { useEffect, useId, useRef, useState } from "preact/hooks";
import { ask, type Refusal, refusalOf } from "../link/ask.js";
import { now } from "../link/live.js";
import { RefusalText } from "../marks/refusal.js";
import { absent, useMissing } from "../settings/missing.js";
import { useGoOn } from "../shell/go-on.js";
import { NameForm } from "../shell/name-form.js";
import { usePageTitle } from "../shell/page-title.js";
import { PageTop } from "../shell/page-top.js";
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
  const goOn = useGoOn();
  const [typed, setTyped] = useState("");
  const [busy, setBusy] = useState(false);
  const [refusal, setRefusal] = useState<Refusal | null>(null);
  const form = useRef<HTMLFormElement>(null);
  const { expected, allThere } = useMissing(form, absent({ code: [typed.trim() !== "", "a code"] }));
  const open = async () => {
    if (busy || !allThere()) return;
    setBusy(true);
    setRefusal(null);
    try {
      const { code } = await ask.specimen(typed.trim(), 1);
      goOn(specimenAddress(code));
    } catch (reason) {
      const refused = refusalOf(reason);
      const here = refused.final ? null : await sheetHere(plainCode(typed), 1).catch(() => null);
      if (here !== null) goOn(specimenAddress(here.code));
      else setRefusal(refused);
    } finally {
      setBusy(false);
    }
  };
  return (
    <form
      class="card code-form"
      ref={form}
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
          aria-invalid={refusal !== null || expected.has("code")}
          aria-describedby={expected.has("code") ? `${id}-expected` : undefined}
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
      {expected.has("code") && (
        <p class="field-expected" id={`${id}-expected`}>
          Expected: {expected.get("code")}
        </p>
      )}
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

/** Where grading begins: the code of a specimen, what waits, and what was graded lately. */
export function GradePage() {
  usePageTitle("Grade");
  const wall = now.value?.wall ?? Date.now();
  // Whoever goes to the bench from here finds the specimens of the running plan without a connection, too.
  usePlan(now.value?.trial?.plan.id ?? null);
  return (
    <div class="page grading">
      <PageTop back="/plans" word="Trials">
        <h1>Grade a specimen</h1>
      </PageTop>
      <AloneLine />
      <CodeField />
      <Refused wall={wall} />
      <WaitingCard wall={Date.now()} />
      <LatelyCard wall={wall} />
      <section class="card" aria-label="Name of this phone">
        <NameForm label="Name of this phone" />
        <p class="soft">Grades are kept under it, and it tells a second grader from the first.</p>
      </section>
    </div>
  );
}
