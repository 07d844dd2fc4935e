import type {
  ExtractionView,
  Fitness,
  LiveCondition,
  NowSnapshot,
  Readiness,
} from "../../../station/model/now.js";
import { CHECK_WORDS, FITNESS_WORDS, FitnessShape } from "../marks/fitness.js";
import { Sign } from "../marks/signs.js";
import { decimalsOf, withUnit } from "../words/number.js";
import { afterOpening } from "../words/opening.js";
import { unbroken } from "../words/unbroken.js";

export function FitToCut({ readiness }: { readiness: Readiness }) {
  const { fitness, sentence } = readiness;
  return (
    <section class={`fitness fitness-${fitness}`} aria-labelledby="fitness-word" data-testid="fitness">
      <FitnessShape fitness={fitness} />
      <div class="fitness-words">
        <h2 id="fitness-word">{FITNESS_WORDS[fitness]}</h2>
        <p>{unbroken(afterOpening(sentence, FITNESS_WORDS[fitness]))}</p>
      </div>
    </section>
  );
}

const EXTRACTION: Readonly<
  Record<ExtractionView["state"], { readonly word: string; readonly fitness: Fitness }>
> = {
  running: { word: "Running", fitness: "fit" },
  stopped: { word: "Stopped", fitness: "not-fit" },
  unknown: { word: "Not known", fitness: "cannot-tell" },
};

export function Extraction({ now }: { now: NowSnapshot }) {
  const { extraction, readiness } = now;
  const word = extraction.turns === true ? "Moves no air" : EXTRACTION[extraction.state].word;
  const judged = readiness.checks.find(({ subject }) => subject === "extraction");
  const fitness = judged?.fitness ?? EXTRACTION[extraction.state].fitness;
  return (
    <section class={`strip strip-fan strip-${fitness}`} data-testid="extraction">
      <Sign name="fan" />
      <h2>Extraction</h2>
      <p class="strip-figure">{word}</p>
      <p class="strip-more">{unbroken(afterOpening(extraction.text, word))}</p>
    </section>
  );
}

function known(condition: LiveCondition | undefined): string | null {
  return condition === undefined || condition.value === null
    ? null
    : withUnit(condition.value, decimalsOf(condition.unit), condition.unit);
}

/** What the margin is measured from, or which side of it is missing. */
function MarginMore({ value, dewPoint }: { value: number | null; dewPoint: LiveCondition | undefined }) {
  const dew = known(dewPoint);
  if (dew === null) {
    return (
      <>
        dew point not known<span class="strip-long">: {dewPoint?.reasonText}</span>
      </>
    );
  }
  return (
    <>
      {value !== null && <span class="strip-long">{value < 0 ? "coolant below the" : "over the"} </span>}
      dew point <span class="strip-long">{value !== null && "of "}</span>
      {dew}
      {value === null && <span class="strip-long">, coolant not known</span>}
    </>
  );
}

export function Margin({ now }: { now: NowSnapshot }) {
  const margin = now.conditions.find(({ id }) => id === "condensation-margin");
  const dewPoint = now.conditions.find(({ id }) => id === "dew-point");
  const check = now.readiness.checks.find(({ subject }) => subject === "condensation");
  const value = margin?.value ?? null;
  // A station without the sensors for it does not judge it, and nothing is the matter.
  const look = check === undefined ? "fit" : value === null ? "cannot-tell" : check.fitness;
  return (
    <section class={`strip strip-margin strip-${look}`} data-testid="margin">
      <Sign name="drop" />
      <h2>
        <span class="unseen">Condensation margin, </span>
        <span aria-hidden="true">Margin</span>
      </h2>
      <p class="strip-figure">{check === undefined ? "not measured" : (known(margin) ?? "not known")}</p>
      {check !== undefined && (
        <p class="strip-more">
          <MarginMore value={value} dewPoint={dewPoint} />
        </p>
      )}
    </section>
  );
}

/** The checks behind the advice: beside it where the screen is wide, in a section below it otherwise. */
export function Checks({ readiness, place }: { readiness: Readiness; place: "beside" | "below" }) {
  const list = <CheckList readiness={readiness} />;
  if (place === "beside") return <div class="verdict-checks">{list}</div>;
  return (
    <section class="card checks-below" aria-labelledby="checks-title">
      <h2 id="checks-title">What the advice rests on</h2>
      {list}
    </section>
  );
}

function CheckList({ readiness }: { readiness: Readiness }) {
  return (
    <ul class="checks">
      {readiness.checks.map(({ subject, fitness, text }) => (
        <li key={subject} class={`check check-${fitness}`}>
          <FitnessShape fitness={fitness} />
          <span>
            {unbroken(text)} <span class="unseen">({CHECK_WORDS[fitness]})</span>
          </span>
        </li>
      ))}
    </ul>
  );
}
