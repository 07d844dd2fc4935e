import { useRef, useState } from "preact/hooks";
import { useDoing } from "../../link/asked.js";
import { RefusalText } from "../../marks/refusal.js";
import { absent, useMissing } from "../../settings/missing.js";
import { useModal } from "../../shell/modal.js";
import { Voice } from "../../voice/voice.js";
import { askTrials } from "../ask-trials.js";
import { stepOf } from "../entering.js";

const REASONS = {
  skipped: ["No room left on the sheet", "The sheet is damaged there", "No time for it"],
  spoilt: ["Wrong setting on the machine", "Out of focus", "The sheet lifted", "The beam failed"],
} as const;
const TITLES = { skipped: "Skip", spoilt: "Spoilt:" } as const;
const MOST = 200;

interface Props {
  readonly code: string;
  readonly step: keyof typeof REASONS;
  readonly close: () => void;
  readonly done: () => void;
}

/** Why a specimen is not cut, or does not count: a press on a reason does it, or one's own words. */
export function WhyPanel({ code, step, close, done }: Props) {
  const panel = useRef<HTMLDialogElement>(null);
  const [own, setOwn] = useState("");
  const { busy, refusal, attempt } = useDoing();
  // Of one panel, so that a second try is the same entry.
  const [entry] = useState(() => stepOf(code, step));
  const missing = absent({ own: [own.trim() !== "", "a reason: press one above, or type it"] });
  const { expected, allThere } = useMissing(panel, missing);
  useModal(panel);
  const say = async (why: string) => {
    const said = await attempt(() => askTrials.enter({ ...entry, body: { step, why } } as typeof entry));
    if (!said) return;
    done();
    close();
  };
  return (
    <dialog class="sheet why" ref={panel} aria-labelledby="why-title" onClose={close} data-testid="why-panel">
      <Voice />
      <form
        onSubmit={(event) => {
          event.preventDefault();
          if (allThere()) void say(own.trim());
        }}
      >
        <h2 id="why-title">
          {TITLES[step]} <span class="code">{code}</span>
        </h2>
        <div class="sheet-body why-reasons">
          {REASONS[step].map((why) => (
            <button key={why} type="button" class="button" aria-disabled={busy} onClick={() => void say(why)}>
              {why}
            </button>
          ))}
          <div class="field">
            <label for="why-own">In other words</label>
            <input
              id="why-own"
              type="text"
              maxLength={MOST}
              autoComplete="off"
              value={own}
              aria-invalid={expected.has("own")}
              aria-describedby={expected.has("own") ? "why-own-expected" : undefined}
              onInput={(event) => setOwn(event.currentTarget.value)}
            />
            {expected.has("own") && (
              <p class="field-expected" id="why-own-expected">
                Expected: {expected.get("own")}
              </p>
            )}
          </div>
        </div>
        <RefusalText refusal={refusal} />
        <footer class="sheet-foot">
          <button type="button" class="button" onClick={close}>
            Leave as it was
          </button>
          <button type="submit" class="button button-main" aria-disabled={busy}>
            {step === "skipped" ? "Skip it" : "It is spoilt"}
          </button>
        </footer>
      </form>
    </dialog>
  );
}
