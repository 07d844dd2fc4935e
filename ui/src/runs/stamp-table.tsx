import { type ChannelKind, CONDITIONS, type ConditionId } from "../../../station/model/quantity.js";
import type { Stamp, WindowStatistics } from "../../../station/model/run.js";
import { Wide } from "../marks/wide.js";
import {
  asEntered,
  decimalsOf,
  isState,
  NO_VALUE,
  numberText,
  shareText,
  stateWord,
  unitLabel,
} from "../words/number.js";

interface Row {
  readonly id: string;
  readonly name: string;
  /** Null for a condition. */
  readonly kind: ChannelKind | null;
  readonly stats: WindowStatistics;
}

function rowsOf(stamp: Stamp): readonly Row[] {
  const channels = Object.entries(stamp.channels).map(([id, stats]) => ({
    id,
    name: stats.name,
    kind: stats.kind,
    stats,
  }));
  const conditions = (Object.keys(CONDITIONS) as ConditionId[]).flatMap((id) => {
    const stats = stamp.conditions[id];
    return stats ? [{ id, name: CONDITIONS[id].label, kind: null, stats }] : [];
  });
  return [...channels, ...conditions];
}

const COLUMNS = ["min", "mean", "sd", "max", "first", "last"] as const;

/** Places for statistics: one more than the live page for temperatures, since a mean carries it. */
function places({ unit }: WindowStatistics): number {
  return unit === "Cel" ? 2 : decimalsOf(unit);
}

/** A contact has no least and most worth a number: what it said, and for how much of the time. */
function stateWords(kind: ChannelKind, { mean, first, last }: WindowStatistics): string {
  if (mean === null || first === null || last === null) return NO_VALUE;
  if (mean <= 0 || mean >= 1) return `${stateWord(kind, mean)} throughout`;
  const share = `${stateWord(kind, 1)} for ${shareText(mean)} of the time`;
  return `${share}; ${stateWord(kind, first)} at first, ${stateWord(kind, last)} at last`;
}

function StampFigures({ kind, stats }: Pick<Row, "kind" | "stats">) {
  if (!stats.known) {
    return (
      <td colSpan={COLUMNS.length} class="stamp-words stamp-unknown-words">
        <span>conditions unknown</span>
      </td>
    );
  }
  if (kind !== null && isState(kind)) {
    return (
      <td colSpan={COLUMNS.length} class="stamp-words">
        <span>{stateWords(kind, stats)}</span>
      </td>
    );
  }
  return (
    <>
      {COLUMNS.map((column) => {
        const value = stats[column];
        return (
          <td key={column}>
            {value === null || value === undefined ? NO_VALUE : numberText(value, places(stats))}
          </td>
        );
      })}
    </>
  );
}

function StampRow({ name, kind, stats }: Row) {
  return (
    <tr class={stats.known ? "" : "stamp-unknown"}>
      <th scope="row">
        {name} <span class="soft">{unitLabel(stats.unit)}</span>
      </th>
      <StampFigures kind={kind} stats={stats} />
      <td>
        {shareText(stats.goodShare)}
        {stats.uncertainShare > 0 && (
          <span class="soft stamp-doubt">{shareText(stats.uncertainShare)} doubtful</span>
        )}
      </td>
      <td>{numberText(stats.readings, 0)}</td>
    </tr>
  );
}

/** The conditions over exactly the window of the run, as frozen with it. */
export function StampTable({ stamp, placed }: { stamp: Stamp; placed: boolean }) {
  const { low, high } = stamp.coolantRange;
  return (
    <section class="card" aria-labelledby="stamp-title">
      <h2 id="stamp-title">Conditions at cut time</h2>
      <p class="soft">
        Coolant range then {asEntered(low)} to {asEntered(high)} {unitLabel("Cel")}. Means and standard
        deviations (SD) are weighted by time. No number is given where less than{" "}
        {shareText(stamp.minGoodShare)} of the window is covered by good readings.
      </p>
      {stamp.clockAtStart === "not synchronised" && (
        <p class="soft" data-testid="stamp-clock">
          Clock not set at cut time{placed ? "; put right afterwards" : ""}. No figure here depends on it.
        </p>
      )}
      {stamp.readingsHeld === true && (
        <p class="soft" data-testid="stamp-held">
          The disk was full when this run ended. The readings behind these figures waited in memory then, and
          may not have been kept.
        </p>
      )}
      <Wide name="Conditions over the window of the run" look="table-scroll">
        <table class="table stamp" data-testid="stamp-table">
          <caption class="unseen">Conditions over the window of the run</caption>
          <thead>
            <tr>
              <th scope="col">Channel or condition</th>
              <th scope="col">Min</th>
              <th scope="col">Mean</th>
              <th scope="col">SD</th>
              <th scope="col">Max</th>
              <th scope="col">First</th>
              <th scope="col">Last</th>
              <th scope="col">Good share</th>
              <th scope="col">Readings</th>
            </tr>
          </thead>
          <tbody>
            {rowsOf(stamp).map((row) => (
              <StampRow key={row.id} {...row} />
            ))}
          </tbody>
        </table>
      </Wide>
    </section>
  );
}
