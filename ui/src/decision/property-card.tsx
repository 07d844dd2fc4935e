import type { LotFigures, PropertyComparison } from "../../../station/model/decision.js";
import { Dots } from "./dots.js";
import { figure, limits } from "./figure.js";

/** One property: a dot for each specimen, the numbers of each lot, and what they show. */
export function PropertyCard({ property }: { property: PropertyComparison }) {
  const { id, name, unit, words, lots, differences, remarks } = property;
  return (
    <section class="card decision-property" aria-labelledby={`property-${id}`}>
      <h2 id={`property-${id}`}>
        {name}
        {words === null && <span class="soft"> {unit}</span>}
      </h2>
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
      {differences.map(({ first, second, sentence }) => (
        <p key={`${first} ${second}`}>{sentence}</p>
      ))}
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
