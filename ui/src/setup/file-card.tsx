import { useEffect, useRef, useState } from "preact/hooks";
import type { SetupView } from "../../../station/model/setup.js";
import { useDoing } from "../link/asked.js";
import { now } from "../link/live.js";
import { RefusalText } from "../marks/refusal.js";
import { askSetup } from "./ask-setup.js";

interface Props {
  readonly view: SetupView;
  /** What was done last. */
  readonly said: string;
  /** Resolves when the page shows the file as it is now: a press before that would be of the one before. */
  readonly done: (words: string) => Promise<void>;
  readonly again: () => void;
}

/** How station.yaml stands, the way back, and the new start from which it counts. */
export function FileCard({ view, said, done, again }: Props) {
  const { file, restart } = view;
  const back = useDoing();
  const starting = useDoing();
  const [begun, setBegun] = useState(false);
  const told = useRef<HTMLParagraphElement>(null);
  // The button that was pressed has gone: what came of it is where the page goes on.
  useEffect(() => {
    if (said !== "") told.current?.focus();
  }, [said]);
  const takeBack = () =>
    back.attempt(async () => {
      await askSetup.back(file.hash);
      await done("Taken back: station.yaml is as it was before. The same button puts the change in again.");
    });
  return (
    <section class="card" aria-labelledby="file-title" data-testid="setup-file">
      <h2 id="file-title">station.yaml</h2>
      {file.there ? (
        <p>
          <code class="path">{file.path}</code>
        </p>
      ) : (
        <p>
          There is none yet: the station shows its simulated bench, and nothing on it is measured. Give one
          thing below its role, and <code class="path">{file.path}</code> is begun.
        </p>
      )}
      {file.trouble !== null && (
        <div class="refusal" role="alert">
          <p class="setup-fault">{file.trouble}</p>
          <p>It is not changed here until that is put right by hand, or taken back.</p>
          <button type="button" class="button" onClick={again}>
            Look again
          </button>
        </div>
      )}
      <p role="status" tabIndex={-1} ref={told} data-testid="setup-said">
        {said}
      </p>
      {file.pending && file.trouble === null && (
        <div class="setup-pending" data-testid="setup-pending">
          <p>
            <strong>
              {file.there
                ? "The file counts from the next start of the station."
                : "From the next start the station shows its simulated bench."}
            </strong>{" "}
            Until then it runs as it began.
          </p>
          {restart.byItself ? (
            now.value?.run ? (
              <p>A run is open. End it, then start again.</p>
            ) : (
              <button
                type="button"
                class="button button-main"
                data-testid="setup-restart"
                aria-disabled={starting.busy || begun}
                onClick={() => void starting.attempt(askSetup.restart).then(setBegun)}
              >
                {begun ? "It starts again…" : "Start again now"}
              </button>
            )
          ) : (
            <p>
              Stop the station where it was started (Ctrl-C), then type: <code>{restart.command}</code>
            </p>
          )}
          <RefusalText refusal={starting.refusal} />
        </div>
      )}
      {file.back && (
        <button
          type="button"
          class="button"
          data-testid="setup-back"
          aria-disabled={back.busy}
          onClick={() => void takeBack()}
        >
          Take the last change back
        </button>
      )}
      <RefusalText refusal={back.refusal} again={again} />
    </section>
  );
}
