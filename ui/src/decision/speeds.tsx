import type { DecisionView } from "../../../station/model/decision.js";
import { fullText, isoText } from "../words/time.js";
import { figure, limits } from "./figure.js";
import { LotsTable } from "./lots-table.js";

/** The fastest speed of each lot that cuts through. @param said sentences that stand in the conclusions: they are not said again */
export function Speeds({ view, said }: { view: DecisionView; said: ReadonlySet<string> }) {
  if (view.thresholds.length === 0) return null;
  return (
    <section class="card" aria-labelledby="speeds-title">
      <h2 id="speeds-title">
        Fastest speed that cuts through <span class="soft">mm/s</span>
      </h2>
      <LotsTable
        title="Through"
        lots={view.thresholds}
        rows={[
          ["every other time", view.thresholds.map(({ half }) => figure(half.estimate))],
          ["its limits", view.thresholds.map(({ half }) => limits(half.lower, half.upper))],
          ["19 times in 20", view.thresholds.map(({ surely }) => figure(surely.estimate))],
          ["Cuts", view.thresholds.map(({ n }) => String(n))],
        ]}
      />
      {view.ratios
        .filter(({ sentence }) => !said.has(sentence))
        .map(({ sentence }) => (
          <p key={sentence}>{sentence}</p>
        ))}
      {view.thresholds.flatMap(({ lot, name, warnings }) =>
        warnings.map((warning) => (
          <p class="soft" key={`${lot} ${warning}`}>
            {name}: {warning}
          </p>
        )),
      )}
    </section>
  );
}

/** What was compared, and under which conditions. */
export function Conditions({ view }: { view: DecisionView }) {
  const { firstWall, lastWall, sentences } = view.conditions;
  return (
    <section class="card" aria-labelledby="conditions-title">
      <h2 id="conditions-title">What was compared, and how</h2>
      <ul class="sentences">
        {view.compared.map((sentence) => (
          <li key={sentence}>{sentence}</li>
        ))}
        {firstWall !== null && lastWall !== null && (
          <li>
            Cut from <time dateTime={isoText(firstWall)}>{fullText(firstWall)}</time> to{" "}
            <time dateTime={isoText(lastWall)}>{fullText(lastWall)}</time>.
          </li>
        )}
        {sentences.map((sentence) => (
          <li key={sentence}>{sentence}</li>
        ))}
        {view.agreement.map(({ id, sentence }) => (
          <li key={id}>{sentence}</li>
        ))}
      </ul>
    </section>
  );
}
