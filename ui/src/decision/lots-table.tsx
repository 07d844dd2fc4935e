import { Wide } from "../marks/wide.js";

interface Props {
  /** What the rows are of. */
  readonly title: string;
  readonly lots: readonly { readonly lot: string; readonly name: string }[];
  /** Words, and a cell for each lot. */
  readonly rows: readonly (readonly [words: string, cells: readonly string[]])[];
}

/** Figures of each lot, a column for each: at most four, so that they fit a phone and paper. */
export function LotsTable({ title, lots, rows }: Props) {
  return (
    <Wide name={title} look="wide-table">
      <table>
        <thead>
          <tr>
            <th scope="col">{title}</th>
            {lots.map(({ lot, name }) => (
              <th scope="col" class="number" key={lot}>
                {name}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {rows.map(([words, cells]) => (
            <tr key={words}>
              <th scope="row">{words}</th>
              {cells.map((cell, i) => (
                <td class="number" key={lots[i]?.lot}>
                  {cell}
                </td>
              ))}
            </tr>
          ))}
        </tbody>
      </table>
    </Wide>
  );
}
