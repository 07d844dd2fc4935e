import type { DecisionView, LotCost } from "../../../station/model/decision.js";
import { NO_VALUE, numberText, shareText } from "../words/number.js";
import { LotsTable } from "./lots-table.js";

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

/** What a good part of each lot costs. */
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
      <LotsTable
        title="Of a part"
        lots={view.costs}
        rows={ROWS.map(([words, cell]) => [words, view.costs.map(cell)])}
      />
      <p class="soft">
        Sheet, laser and finishing are of one part before the bad ones are paid for. The least and the most
        have the share of bad parts and the minutes of finishing at the ends of their limits, both at once.
      </p>
    </section>
  );
}
