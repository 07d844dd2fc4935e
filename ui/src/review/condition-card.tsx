import type { ConditionAnswer } from "../../../station/model/review.js";
import { figure, limits } from "../decision/figure.js";
import { numberText } from "../words/number.js";
import { ConditionSection } from "./condition-section.js";
import { conditionText, isNumber, pText } from "./words.js";

interface Props {
  readonly answer: ConditionAnswer;
  /** What is said once for all of them. */
  readonly often: ReadonlySet<string>;
}

/** What one condition has to do with bad runs. */
export function ConditionCard({ answer, often }: Props) {
  const { condition, unit, low, high, about, detectable, missing } = answer;
  const value = (of: number | null) => (isNumber(of) ? conditionText(condition, of, unit) : null);
  const between = [value(low), value(high)].filter((each) => each !== null);
  return (
    <ConditionSection
      {...{ answer, often }}
      level="h3"
      rows={[
        { what: "Runs used", value: String(answer.n) },
        { what: "Not known in", value: missing > 0 ? `${missing} ${missing === 1 ? "run" : "runs"}` : null },
        {
          what: about === null ? "Looked at between" : "How far off, in eight runs of ten",
          value: between.length === 2 ? between.join(about === null ? " and " : " to ") : null,
        },
        { what: "Change of speed across that", value: shareWords(answer) },
        {
          what: `Change of the logarithm of the odds, for each ${unit === "" ? "unit" : unit}`,
          value: isNumber(answer.estimate) ? figure(answer.estimate) : null,
        },
        {
          what: "Its limits, 95 %",
          value: isNumber(answer.lower) || isNumber(answer.upper) ? limits(answer.lower, answer.upper) : null,
        },
        { what: "p, for all that were asked about", value: isNumber(answer.p) ? pText(answer.p) : null },
        {
          what: "What so many runs would mostly have shown",
          value: isNumber(detectable) ? `odds that change ${figure(detectable)}-fold` : null,
        },
      ]}
    />
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
