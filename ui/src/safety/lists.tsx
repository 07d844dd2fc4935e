import type { CheckList, ExposureLimit, NeverCut } from "../../../station/model/caution.js";
import { Wide } from "../marks/wide.js";
import { asEntered } from "../words/number.js";
import { Sources } from "./sources.js";

export function NeverCutList({ rows }: { rows: readonly NeverCut[] }) {
  return (
    <section class="card" id="never-cut" aria-labelledby="never-cut-title">
      <h2 id="never-cut-title">Never to be cut</h2>
      <ul class="never-cut">
        {rows.map(({ materials, givesOff, sources }) => (
          <li key={materials}>
            <p>
              <strong>{materials}</strong>: {givesOff}.
            </p>
            <details>
              <summary>Says who</summary>
              <Sources sources={sources} />
            </details>
          </li>
        ))}
      </ul>
    </section>
  );
}

/** Of one substance, the limits of one time after another. */
function grouped(limits: readonly ExposureLimit[]): readonly (readonly ExposureLimit[])[] {
  const substances = [...new Set(limits.map(({ substance }) => substance))];
  return substances.map((substance) => limits.filter((limit) => limit.substance === substance));
}

export function LimitsTable({ limits }: { limits: readonly ExposureLimit[] }) {
  const sources = [...new Map(limits.map(({ source }) => [source.title, source])).values()];
  return (
    <section class="card" id="limits" aria-labelledby="limits-title">
      <h2 id="limits-title">Limits for the air at work</h2>
      <p>
        The station measures none of these. They differ from country to country, and change: look up your own.
        Being below a limit is no promise that nothing happens.
      </p>
      <Wide name="Limits for the air at work" look="wide-table">
        <table>
          <thead>
            <tr>
              <th scope="col">Substance</th>
              <th scope="col">Limit</th>
              <th scope="col">Averaged over</th>
              <th scope="col">Whose</th>
            </tr>
          </thead>
          {grouped(limits).map((rows) => (
            <tbody key={rows[0]?.substance}>
              {rows.map(({ substance, comesFrom, value, unit, averaging, whose, source }, i) => (
                <tr key={`${whose} ${averaging}`}>
                  {i === 0 && (
                    <th scope="rowgroup" rowSpan={rows.length}>
                      {substance} <span class="soft">from {comesFrom}</span>
                    </th>
                  )}
                  <td class="number">
                    {asEntered(value)} {unit}
                  </td>
                  <td>{averaging}</td>
                  <td>
                    {whose}
                    {source.fromMemory && <span class="soft"> (from memory)</span>}
                  </td>
                </tr>
              ))}
            </tbody>
          ))}
        </table>
      </Wide>
      <details>
        <summary>The documents</summary>
        <Sources sources={sources} />
      </details>
    </section>
  );
}

export function CheckListLinks({ lists }: { lists: readonly CheckList[] }) {
  return (
    <p class="links">
      {lists.map(({ id, title }) => (
        <a key={id} class="button" href={`/checklists/${id}`}>
          {title}
        </a>
      ))}
    </p>
  );
}
