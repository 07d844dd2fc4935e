import type { DecisionView } from "../../../station/model/decision.js";
import { NO_VALUE, numberText, shareText } from "../words/number.js";

/** What a good part of each lot costs. */
export function CostTable({ view }: { view: DecisionView }) {
  const money = (value: number | null) => (value === null ? NO_VALUE : numberText(value, 2));
  return (
    <section class="card" aria-labelledby="cost-title">
      <h2 id="cost-title">
        Cost of a good part <span class="soft">{view.currency}</span>
      </h2>
      <div class="wide-table">
        <table>
          <thead>
            <tr>
              <th scope="col">Lot</th>
              {["Good part", "Low", "High", "Sheet", "Laser", "Finishing", "Bad", "Parts", "Offcut"].map(
                (word) => (
                  <th scope="col" class="number" key={word}>
                    {word}
                  </th>
                ),
              )}
            </tr>
          </thead>
          <tbody>
            {view.costs.map((cost) => (
              <tr key={cost.lot}>
                <th scope="row">{cost.name}</th>
                <td class="number">{money(cost.goodPart.estimate)}</td>
                <td class="number">{money(cost.goodPart.lower)}</td>
                <td class="number">{money(cost.goodPart.upper)}</td>
                <td class="number">{money(cost.material)}</td>
                <td class="number">{money(cost.laser)}</td>
                <td class="number">{money(cost.finishing)}</td>
                <td class="number">
                  {cost.badShare?.estimate == null ? NO_VALUE : shareText(cost.badShare.estimate)}
                </td>
                <td class="number">{cost.partsFromSheet ?? NO_VALUE}</td>
                <td class="number">{cost.offcut === null ? NO_VALUE : shareText(cost.offcut)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
      {view.costs.map(({ lot, sentence }) => (
        <p key={lot}>{sentence}</p>
      ))}
      <p class="soft">
        Sheet, laser and finishing are of one part before the bad ones are paid for. Low and high have the
        share of bad parts and the minutes of finishing at the ends of their limits, both at once.
      </p>
    </section>
  );
}
