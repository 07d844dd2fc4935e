import { useEffect, useState } from "preact/hooks";
import { csvOf, type NamedSeries } from "./csv.js";
import { type PictureParts, pictureOf } from "./picture.js";
import type { Span } from "./span.js";

interface Props {
  readonly span: Span;
  /** What is shown and loaded. */
  readonly shown: readonly NamedSeries[];
  /** While it is, what is asked for is put off: half of another span would be in it. */
  readonly loading: boolean;
  readonly picture: () => PictureParts;
}

/** Times in names of files: ISO 8601 in its basic form, which has no colons. */
function fileName({ from, to }: Span, ending: string): string {
  const basic = (wall: number) => new Date(wall).toISOString().replace(/[-:]|\.\d+/g, "");
  return `history-${basic(from)}-${basic(to)}.${ending}`;
}

function hand(blob: Blob, name: string): void {
  const address = URL.createObjectURL(blob);
  const link = document.createElement("a");
  link.href = address;
  link.download = name;
  link.click();
  // The browser has taken hold of it by the next turn.
  setTimeout(() => URL.revokeObjectURL(address), 0);
}

export function Save({ span, shown, loading, picture }: Props) {
  const [trouble, setTrouble] = useState<string | null>(null);
  const [wanted, setWanted] = useState<"table" | "picture" | null>(null);
  const saveTable = () => {
    hand(new Blob([csvOf(shown)], { type: "text/csv;charset=utf-8" }), fileName(span, "csv"));
  };
  const savePicture = () => {
    pictureOf(picture()).then(
      (blob) => hand(blob, fileName(span, "png")),
      () => setTrouble("This browser could not make the picture. A smaller window may help."),
    );
  };
  useEffect(() => {
    if (wanted === null || loading) return;
    setWanted(null);
    setTrouble(null);
    if (wanted === "table") saveTable();
    else savePicture();
  }, [wanted, loading]);
  return (
    <section class="card save-card" aria-labelledby="save-title">
      <h2 id="save-title">Save what is shown</h2>
      <div class="save-buttons">
        <button
          type="button"
          class="button"
          data-testid="save-csv"
          disabled={shown.length === 0}
          onClick={() => setWanted("table")}
        >
          Save as CSV
        </button>
        <button
          type="button"
          class="button"
          data-testid="save-picture"
          disabled={shown.length === 0}
          onClick={() => setWanted("picture")}
        >
          Save as picture
        </button>
      </div>
      {trouble !== null && <p role="alert">{trouble}</p>}
      <p class="soft">
        The table has the least, mean and greatest value of each stretch of time that is drawn. The address of
        this page brings back the same span and channels.
      </p>
    </section>
  );
}
