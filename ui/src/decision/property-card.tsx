import type { LotFigures, PropertyComparison } from "../../../station/model/decision.js";
import { Dots } from "./dots.js";
import { figure, limits } from "./figure.js";
import { LotsTable } from "./lots-table.js";

interface Props {
  readonly property: PropertyComparison;
  /** Sentences that stand in the conclusions: they are not said again. */
  readonly said: ReadonlySet<string>;
}

/** One property: what is not said in the conclusions, which have what could not be compared at all together, a dot for each specimen, and the numbers of each lot. */
export function PropertyCard({ property, said }: Props) {
  const { id, name, unit, words, lots, differences, remarks } = property;
  return (
    <section class="card decision-property" aria-labelledby={`property-${id}`}>
      <h2 id={`property-${id}`}>
        {name}
        {words === null && <span class="soft"> {unit}</span>}
      </h2>
      {differences
        .filter(
          ({ sentence, verdict }) => !said.has(sentence) && verdict !== "too few" && verdict !== "nothing",
        )
        .map(({ first, second, sentence }) => (
          <p key={`${first} ${second}`}>{sentence}</p>
        ))}
      <Dots lots={lots} words={words} />
      <LotsTable
        title={words === null ? "Of the specimens" : "Grade"}
        lots={lots}
        rows={rowsOf(lots, words)}
      />
      {remarks.map((remark) => (
        <p class="soft" key={remark}>
          {remark}
        </p>
      ))}
    </section>
  );
}

type Row = readonly [words: string, cells: readonly string[]];

function rowsOf(lots: readonly LotFigures[], words: readonly string[] | null): readonly Row[] {
  const row = (name: string, cell: (lot: LotFigures) => string): Row => [name, lots.map(cell)];
  if (words === null) {
    return [
      row("Mean", ({ mean }) => figure(mean)),
      row("Limits", ({ lower, upper }) => limits(lower, upper)),
      row("Spread (sd)", ({ sd }) => figure(sd)),
      row("Specimens", ({ n }) => String(n)),
    ];
  }
  const medianOf = ({ median }: LotFigures) => (median === null ? null : words[median]) ?? figure(median);
  return [
    ...words.map((word, grade) => row(word, ({ counts }) => String(counts?.[grade] ?? 0))),
    row("Median", medianOf),
  ];
}
