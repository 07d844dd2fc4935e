import type { NowSnapshot, Readiness } from "../../../station/model/now.js";
import { CHECK_WORDS, FITNESS_WORDS, FitnessShape } from "../marks/fitness.js";
import { Sign } from "../marks/signs.js";
import { decimalsOf, NO_VALUE, withUnit } from "../words/number.js";

export function FitToCut({ readiness }: { readiness: Readiness }) {
  const { fitness, sentence } = readiness;
  return (
    <section class={`fitness fitness-${fitness}`} aria-labelledby="fitness-word" data-testid="fitness">
      <FitnessShape fitness={fitness} />
      <div aria-live="polite">
        <h2 id="fitness-word">{FITNESS_WORDS[fitness]}</h2>
        <p>{sentence}</p>
      </div>
    </section>
  );
}

export function Extraction({ now }: { now: NowSnapshot }) {
  const { state, text } = now.extraction;
  const word = { running: "Running", stopped: "Stopped", unknown: "Cannot tell" }[state];
  return (
    <section
      class={`cell cell-${state === "running" ? "fit" : state === "stopped" ? "not-fit" : "cannot-tell"}`}
      data-testid="extraction"
    >
      <h2>Extraction</h2>
      <p class="cell-figure">
        <Sign name="fan" /> {word}
      </p>
      <p class="cell-more">{text}</p>
    </section>
  );
}

export function Margin({ now }: { now: NowSnapshot }) {
  const margin = now.conditions.find(({ id }) => id === "condensation-margin");
  const dewPoint = now.conditions.find(({ id }) => id === "dew-point");
  const check = now.readiness.checks.find(({ subject }) => subject === "condensation");
  const known = margin !== undefined && margin.value !== null;
  return (
    <section class={`cell cell-${known ? (check?.fitness ?? "fit") : "cannot-tell"}`} data-testid="margin">
      <h2>Condensation margin</h2>
      <p class="cell-figure">
        <Sign name="drop" />{" "}
        {margin && margin.value !== null
          ? withUnit(margin.value, decimalsOf(margin.unit), margin.unit)
          : `${NO_VALUE} not known`}
      </p>
      <p class="cell-more">
        {dewPoint && dewPoint.value !== null
          ? `Dew point ${withUnit(dewPoint.value, decimalsOf(dewPoint.unit), dewPoint.unit)}`
          : `Dew point not known${dewPoint?.reasonText ? `: ${dewPoint.reasonText}` : ""}`}
      </p>
    </section>
  );
}

export function Checks({ readiness }: { readiness: Readiness }) {
  return (
    <section class="card" aria-labelledby="checks-title">
      <h2 id="checks-title">What the advice rests on</h2>
      <ul class="checks">
        {readiness.checks.map(({ subject, fitness, text }) => (
          <li key={subject} class={`check check-${fitness}`}>
            <FitnessShape fitness={fitness} />
            <span>
              {text} <span class="unseen">({CHECK_WORDS[fitness]})</span>
            </span>
          </li>
        ))}
      </ul>
    </section>
  );
}
