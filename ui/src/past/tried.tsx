import type { PastImport } from "../../../station/model/past-run.js";
import { PastTable } from "./past-table.js";

function counted(n: number, word: string): string {
  return `${n} ${n === 1 ? word : `${word}s`}`;
}

/** What an import came to, or would. */
export function Tried({ found }: { found: PastImport }) {
  const { rows, bad, badRows, conditions, notes, kept, shown } = found;
  return (
    <div data-testid="tried">
      <p role="status">
        {kept === null
          ? `${counted(rows, "run")} found. ${badRows === 0 ? "Every cell can be read." : `${counted(badRows, "row")} cannot be taken: nothing is kept until they are put right.`}`
          : `${counted(kept.now, "run")} taken in${kept.before === 0 ? "" : `; ${kept.before} were there already`}.`}
      </p>
      {conditions.length > 0 && <p>Conditions: {conditions.join(", ")}.</p>}
      {notes.length > 0 && <p>Kept as notes: {notes.join(", ")}.</p>}
      {bad.length > 0 && (
        <ul class="bad-cells">
          {bad.map(({ line, column, found: text, expected }) => (
            <li key={`${line} ${column}`}>
              Line {line}, <code>{column}</code>: {text === "" ? "nothing" : `“${text}”`}; expected {expected}
              .
            </li>
          ))}
        </ul>
      )}
      {kept === null && shown.length > 0 && (
        <>
          <p>The first of them, as they were understood:</p>
          <PastTable runs={shown} />
        </>
      )}
    </div>
  );
}
