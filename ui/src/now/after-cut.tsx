import type { FireWatchView, RunOnView } from "../../../station/model/after-cut.js";
import type { NowSnapshot } from "../../../station/model/now.js";
import { ask } from "../link/ask.js";
import { useDoing } from "../link/asked.js";
import { amend } from "../link/live.js";
import { RefusalText } from "../marks/refusal.js";
import { screenName } from "../shell/screen-name.js";
import { countdown } from "../words/countdown.js";

/** What is to be done once a cut has ended; nothing at all where nothing is. */
export function AfterCutCards({ now }: { now: NowSnapshot }) {
  const { runOn, fireWatch } = now.afterCut;
  const clearing = runOn.state === "clearing" || runOn.state === "cut-short" || runOn.state === "clear";
  if (!clearing && fireWatch.state === "none" && !fireWatch.offered) return null;
  return (
    <div class="after-cut">
      {(fireWatch.state !== "none" || fireWatch.offered) && <FireWatch watch={fireWatch} />}
      {clearing && <RunOn runOn={runOn} />}
    </div>
  );
}

function FireWatch({ watch }: { watch: FireWatchView }) {
  const { busy, refusal, attempt } = useDoing();
  const { state, leftS, lookInS, text, offered } = watch;
  const due = state === "watching" && lookInS <= 0;
  const press = (what: () => ReturnType<typeof ask.looked>) =>
    void attempt(async () => amend({ afterCut: await what() }));
  return (
    <section
      class={due ? "card watch watch-due" : "card watch"}
      aria-labelledby="fire-watch-title"
      data-testid="fire-watch"
    >
      <h2 id="fire-watch-title">Fire watch</h2>
      <div aria-live="polite">
        <p>{text}</p>
      </div>
      {state === "watching" && (
        <dl class="watch-times">
          <div>
            <dt>{due ? "Look is due" : "Next look in"}</dt>
            <dd>{due ? "now" : countdown(lookInS)}</dd>
          </div>
          <div>
            <dt>Watch still lasts</dt>
            <dd data-testid="fire-watch-left">{leftS === 0 ? "one last look" : countdown(leftS)}</dd>
          </div>
        </dl>
      )}
      <RefusalText refusal={refusal} />
      {state === "watching" && (
        <button
          type="button"
          class={due ? "button button-main button-wide" : "button button-wide"}
          data-testid="fire-watch-look"
          aria-disabled={busy}
          onClick={() => press(() => ask.looked(screenName()))}
        >
          I have looked at the bed and the tray
        </button>
      )}
      {offered && (
        <button
          type="button"
          class="button button-wide"
          data-testid="fire-watch-begin"
          aria-disabled={busy}
          onClick={() => press(() => ask.fireWatch(screenName()))}
        >
          Begin a fire watch
        </button>
      )}
    </section>
  );
}

function RunOn({ runOn }: { runOn: RunOnView }) {
  const { state, leftS, text, early } = runOn;
  return (
    <section
      class={state === "cut-short" ? "card watch watch-due" : "card watch"}
      aria-labelledby="run-on-title"
      data-testid="run-on"
    >
      <h2 id="run-on-title">Clearing the machine</h2>
      {leftS > 0 && (
        <p class="watch-left" data-testid="run-on-left">
          {countdown(leftS)}
        </p>
      )}
      <p>{text}</p>
      {early !== null && (
        <p class="watch-early" data-testid="run-on-early">
          {early}.
        </p>
      )}
    </section>
  );
}
