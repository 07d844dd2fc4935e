import { useRef, useState } from "preact/hooks";
import type { FoundThing, SetupView } from "../../../station/model/setup.js";
import { useAsked } from "../link/asked.js";
import { start } from "../link/live.js";
import { newId } from "../link/new-id.js";
import { RefusalText } from "../marks/refusal.js";
import { usePageTitle } from "../shell/page-title.js";
import { PageTop } from "../shell/page-top.js";
import { askSetup, type LooksAt } from "./ask-setup.js";
import { FileCard } from "./file-card.js";
import { LinesCard } from "./lines-card.js";
import { RoleForm } from "./role-form.js";
import { ThingList } from "./thing-list.js";
import { TouchPart } from "./touch-part.js";
import { useValues } from "./use-values.js";

/** Whose role is being chosen. */
export interface Chosen {
  readonly thing: FoundThing;
  readonly point: string;
}

const NOTHING_PICKED: LooksAt = { lines: [], bias: null };

/** Finds what is connected, shows which is which, and writes station.yaml. */
export function SetupPage() {
  usePageTitle("Set up");
  const [at, setAt] = useState<LooksAt>(NOTHING_PICKED);
  const [touch, setTouch] = useState<string | null>(null);
  const [chosen, setChosen] = useState<Chosen | null>(null);
  const [said, setSaid] = useState("");
  const asked = useAsked(`${start.value} setup ${JSON.stringify(at)}`, () => askSetup.view(at));
  // While other lines are looked at, what was found before stays in sight.
  const kept = useRef<SetupView | null>(null);
  if (asked.answer !== null) kept.current = asked.answer;
  const view = kept.current;
  const done = async (words: string) => {
    await asked.again();
    setChosen(null);
    setSaid(words);
  };
  return (
    <div class="page">
      <PageTop back="/workshop" word="Workshop">
        <h1>Set up</h1>
      </PageTop>
      <RefusalText refusal={asked.refusal} again={asked.again} />
      {view === null && asked.refusal === null && <p role="status">Looking for what is connected…</p>}
      {view !== null && (
        <Looking
          {...{ view, at, setAt, touch, setTouch, chosen, setChosen, said, done, again: asked.again }}
        />
      )}
    </div>
  );
}

interface Props {
  readonly view: SetupView;
  readonly at: LooksAt;
  readonly setAt: (at: LooksAt) => void;
  readonly touch: string | null;
  readonly setTouch: (touch: string | null) => void;
  readonly chosen: Chosen | null;
  readonly setChosen: (chosen: Chosen | null) => void;
  readonly said: string;
  readonly done: (words: string) => Promise<void>;
  readonly again: () => void;
}

function Looking({ view, at, setAt, touch, setTouch, chosen, setChosen, said, done, again }: Props) {
  const { seen, refusal, lookHere } = useValues(at, touch);
  const values = seen?.values ?? [];
  const verdict = touch === null ? null : (seen?.touch ?? null);
  const takenOver = refusal?.code === "setup-taken-over";
  const reading = takenOver ? (
    <div class="refusal" role="alert">
      <p>{refusal.message}</p>
      <button type="button" class="button" onClick={lookHere}>
        Look here again
      </button>
    </div>
  ) : (
    <RefusalText refusal={refusal} />
  );
  if (chosen !== null) {
    return (
      <>
        {reading}
        <RoleForm
          key={`${chosen.thing.key} ${chosen.point}`}
          {...{ chosen, view, values, at, done }}
          leave={() => {
            setChosen(null);
            again();
          }}
          again={again}
        />
      </>
    );
  }
  return (
    <>
      <FileCard {...{ view, said, done, again }} />
      <p>
        <a class="way" href="/calibrate">
          Calibrate a thermometer
        </a>
      </p>
      {reading}
      <section class="card" aria-labelledby="found-title">
        <div class="setup-head">
          <h2 id="found-title">What is connected</h2>
          <button type="button" class="button" data-testid="look-again" onClick={again}>
            Look again
          </button>
        </div>
        <TouchPart
          verdict={verdict}
          things={view.things}
          asking={touch !== null}
          ask={() => setTouch(newId())}
          stop={() => setTouch(null)}
        />
        <ThingList {...{ view, values, verdict, again }} choose={setChosen} />
        {view.nothing.length > 0 && (
          <details class="setup-missing">
            <summary>Not found: {view.nothing.map(({ what }) => what.toLowerCase()).join(", ")}</summary>
            <dl>
              {view.nothing.map(({ what, mend }) => (
                <div key={what}>
                  <dt>{what}</dt>
                  <dd>{mend}</dd>
                </div>
              ))}
            </dl>
          </details>
        )}
        {view.leftOut.length > 0 && (
          <details class="setup-missing">
            <summary>Found, and not offered: {view.leftOut.length}</summary>
            <ul>
              {view.leftOut.map((words) => (
                <li key={words}>{words}</li>
              ))}
            </ul>
          </details>
        )}
      </section>
      <LinesCard chips={view.chips} at={at} change={setAt} />
    </>
  );
}
