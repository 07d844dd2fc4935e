import type { LotFigures, PropertyComparison } from "../../../station/model/decision.js";
import { Dots } from "./dots.js";
import { figure, limits } from "./figure.js";

interface Props {
  readonly property: PropertyComparison;
  /** Sentences that stand in the conclusions: they are not said again. */
  readonly said: ReadonlySet<string>;
}

/** One property: what is not said in the conclusions, a dot for each specimen, and the numbers of each lot. */
export function PropertyCard({ property, said }: Props) {
  const { id, name, unit, words, lots, differences, remarks } = property;
  return (
    <section class="card decision-property" aria-labelledby={`property-${id}`}>
      <h2 id={`property-${id}`}>
        {name}
        {words === null && <span class="soft"> {unit}</span>}
      </h2>
      {differences
        .filter(({ sentence }) => !said.has(sentence))
        .map(({ first, second, sentence }) => (
          <p key={`${first} ${second}`}>{sentence}</p>
        ))}
      <Dots lots={lots} words={words} />
      <div class="wide-table">
        <table>
          <thead>
            <tr>
              <th scope="col">Lot</th>
              {(words ?? ["Mean", "Limits", "Spread (sd)"]).map((word) => (
                <th scope="col" class="number" key={word}>
                  {word}
                </th>
              ))}
              <th scope="col" class="number">
                {words === null ? "Specimens" : "Median"}
              </th>
            </tr>
          </thead>
          <tbody>
            {lots.map((lot) => (
              <tr key={lot.lot}>
                <th scope="row">{lot.name}</th>
                {cells(lot, words).map((cell, i) => (
                  <td class="number" key={i}>
                    {cell}
                  </td>
                ))}
              </tr>
            ))}
          </tbody>
        </table>
      </div>
      {remarks.map((remark) => (
        <p class="soft" key={remark}>
          {remark}
        </p>
      ))}
    </section>
  );
}

function cells(lot: LotFigures, words: readonly string[] | null): string[] {
  if (words === null) return [figure(lot.mean), limits(lot.lower, lot.upper), figure(lot.sd), String(lot.n)];
  const medianWord = lot.median === null ? null : words[lot.median];
  return [...(lot.counts ?? []).map(String), medianWord ?? figure(lot.median)];
}
