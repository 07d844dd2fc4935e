import type { DecisionView, LotCost } from "../../../station/model/decision.js";
import { NO_VALUE, numberText, shareText } from "../words/number.js";

const money = (value: number | null) => (value === null ? NO_VALUE : numberText(value, 2));
const share = (value: number | null | undefined) => (value == null ? NO_VALUE : shareText(value));

const ROWS: readonly (readonly [words: string, cell: (cost: LotCost) => string])[] = [
  ["Good part", ({ goodPart }) => money(goodPart.estimate)],
  ["at the least", ({ goodPart }) => money(goodPart.lower)],
  ["at the most", ({ goodPart }) => money(goodPart.upper)],
  ["Sheet", ({ material }) => money(material)],
  ["Laser", ({ laser }) => money(laser)],
  ["Finishing", ({ finishing }) => money(finishing)],
  ["Bad parts", ({ badShare }) => share(badShare?.estimate)],
  ["Parts from a sheet", ({ partsFromSheet }) => String(partsFromSheet ?? NO_VALUE)],
  ["Offcut", ({ offcut }) => share(offcut)],
];

interface Props {
  readonly view: DecisionView;
  /** Sentences that stand elsewhere on the page: they are not said again. */
  readonly said: ReadonlySet<string>;
}

/** What a good part of each lot costs: a column for each, so that four of them fit a phone and paper. */
export function CostTable({ view, said }: Props) {
  return (
    <section class="card" aria-labelledby="cost-title">
      <h2 id="cost-title">
        Cost of a good part <span class="soft">{view.currency}</span>
      </h2>
      {view.costs
        .filter(({ sentence }) => !said.has(sentence))
        .map(({ lot, sentence }) => (
          <p key={lot}>{sentence}</p>
        ))}
      <div class="wide-table">
        <table>
          <thead>
            <tr>
              <th scope="col">Of a part</th>
              {view.costs.map(({ lot, name }) => (
                <th scope="col" class="number" key={lot}>
                  {name}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {ROWS.map(([words, cell]) => (
              <tr key={words}>
                <th scope="row">{words}</th>
                {view.costs.map((cost) => (
                  <td class="number" key={cost.lot}>
                    {cell(cost)}
                  </td>
                ))}
              </tr>
            ))}
          </tbody>
        </table>
      </div>
      <p class="soft">
        Sheet, laser and finishing are of one part before the bad ones are paid for. The least and the most
        have the share of bad parts and the minutes of finishing at the ends of their limits, both at once.
      </p>
    </section>
  );
}
