import type { PastRun } from "../../../station/model/past-run.js";
import { Wide } from "../marks/wide.js";
import { fullText } from "../words/time.js";

/** @param total how many there are, where these are not all */
export function PastTable({
  runs,
  total = runs.length,
}: {
  runs: readonly PastRun[];
  total?: number | undefined;
}) {
  return (
    <Wide name="Past runs" look="wide-table">
      <table>
        <thead>
          <tr>
            {["Run", "When", "Material", "Lot", "mm/s", "%", "Passes", "Cut through"].map((word) => (
              <th key={word} scope="col">
                {word}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {runs.map((run) => (
            <tr key={run.run}>
              <th scope="row">{run.run}</th>
              <td>{run.startedWall === null ? "not known" : fullText(run.startedWall)}</td>
              <td>{run.material}</td>
              <td>{run.lot ?? ""}</td>
              <td class="number">{run.speed_mm_s}</td>
              <td class="number">{run.power_pct}</td>
              <td class="number">{run.passes}</td>
              <td>{run.through ? "yes" : "no"}</td>
            </tr>
          ))}
        </tbody>
      </table>
      {total > runs.length && <p>and {total - runs.length} more, in the journal.</p>}
    </Wide>
  );
}
