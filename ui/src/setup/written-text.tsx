import type { SetupPreview } from "../../../station/model/setup.js";
import { useDoing } from "../link/asked.js";
import { RefusalText } from "../marks/refusal.js";
import { shownLines } from "./words.js";

interface Props {
  readonly preview: SetupPreview;
  readonly write: () => Promise<void>;
  readonly leave: () => void;
  readonly again: () => void;
}

const SIGN_WORDS = { "+": "added: ", "−": "taken out: ", " ": "", "…": "" } as const;

/** The text that would be written, line by line, with the button that writes it and the one that does not. */
export function WrittenText({ preview, write, leave, again }: Props) {
  const { busy, refusal, attempt } = useDoing();
  return (
    <section class="card" aria-labelledby="written-title">
      <h2 id="written-title">This is written to station.yaml</h2>
      <p class="soft">
        <code class="path">{preview.path}</code>
      </p>
      {preview.notes.map((note) => (
        <p key={note} class="setup-note">
          {note}
        </p>
      ))}
      <ol class="setup-diff" data-testid="setup-diff">
        {shownLines(preview.diff).map(({ sign, text }, i) => (
          <li key={`${i} ${text}`} class={sign === "+" ? "diff-added" : sign === "−" ? "diff-removed" : ""}>
            <span aria-hidden="true">{sign}</span>
            <span class="unseen">{SIGN_WORDS[sign]}</span>
            <code>{text === "" ? "\u00a0" : text}</code>
          </li>
        ))}
      </ol>
      <p>
        The station has read it and finds nothing wrong. It counts from the next start, and can be taken back.
      </p>
      <RefusalText refusal={refusal} again={again} />
      <div class="form-keys">
        <button
          type="button"
          class="button button-main"
          data-testid="setup-write"
          aria-disabled={busy}
          onClick={() => void attempt(write)}
        >
          Write it
        </button>
        <button type="button" class="button" data-testid="written-leave" onClick={leave}>
          Change something
        </button>
      </div>
    </section>
  );
}
