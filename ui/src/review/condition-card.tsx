import type { ConditionAnswer } from "../../../station/model/review.js";
import { figure, limits } from "../decision/figure.js";
import { numberText } from "../words/number.js";
import { Numbers } from "./figures-list.js";
import { VerdictMark } from "./verdict.js";
import { conditionText, isNumber, pText, underVerdict } from "./words.js";

interface Props {
  readonly answer: ConditionAnswer;
  /** What is said once for all of them. */
  readonly often: ReadonlySet<string>;
}

/** What one condition has to do with bad runs. */
export function ConditionCard({ answer, often }: Props) {
  const { condition, name, unit, verdict, sentence, low, high, about, detectable, missing } = answer;
  const warnings = answer.warnings.filter((warning) => !often.has(warning));
  const value = (of: number | null) => (isNumber(of) ? conditionText(condition, of, unit) : null);
  const between = [value(low), value(high)].filter((each) => each !== null);
  return (
    <section class="card review-condition" data-testid={`condition-${condition}`}>
      <header>
        <h3>{name}</h3>
        <VerdictMark verdict={verdict} />
      </header>
      <p>{underVerdict(sentence, name, verdict)}</p>
      {warnings.map((warning) => (
        <p class="soft" key={warning}>
          {warning}
        </p>
      ))}
      <Numbers
        method={answer.method}
        rows={[
          { what: "Runs it is made of", value: String(answer.n) },
          { what: "Not known in", value: missing > 0 ? `${missing} runs` : null },
          {
            what:
              about === null ? "Eight runs in ten between" : `Eight runs in ten so far from ${value(about)}`,
            value: between.length === 2 ? between.join(about === null ? " and " : " to ") : null,
          },
          { what: "From there to there, of speed", value: shareWords(answer) },
          {
            what: `Change of the logarithm of the odds, for each ${unit === "" ? "unit" : unit}`,
            value: isNumber(answer.estimate) ? figure(answer.estimate) : null,
          },
          {
            what: "Its limits, 95 %",
            value:
              isNumber(answer.lower) || isNumber(answer.upper) ? limits(answer.lower, answer.upper) : null,
          },
          { what: "p, for all that were asked about", value: isNumber(answer.p) ? pText(answer.p) : null },
          {
            what: "So many runs would mostly have shown",
            value: isNumber(detectable) ? `odds that change ${figure(detectable)}-fold` : null,
          },
        ]}
      />
    </section>
  );
}

function shareWords({ ofSpeed, ofSpeedLimits }: ConditionAnswer): string | null {
  if (!isNumber(ofSpeed)) return null;
  const limits =
    ofSpeedLimits !== null && isNumber(ofSpeedLimits.lower) && isNumber(ofSpeedLimits.upper)
      ? ` (limits ${signedShare(ofSpeedLimits.lower)} to ${signedShare(ofSpeedLimits.upper)})`
      : "";
  return `${signedShare(ofSpeed)}${limits}`;
}

function signedShare(share: number): string {
  const size = `${numberText(Math.abs(share) * 100, 0)}\u00a0%`;
  return share < 0 ? `${size} slower` : `${size} faster`;
}
