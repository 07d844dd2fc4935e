import type { FoundThing, TouchVerdict } from "../../../station/model/setup.js";
import { TOUCH_HINTS, touchText } from "./words.js";

interface Props {
  readonly verdict: TouchVerdict | null;
  readonly things: readonly FoundThing[];
  readonly asking: boolean;
  readonly ask: () => void;
  readonly stop: () => void;
}

/** The button that asks which one it is, and what came of it. */
export function TouchPart({ verdict, things, asking, ask, stop }: Props) {
  const waiting = asking && (verdict === null || verdict.state === "waiting");
  const titleOf = (key: string) => things.find((thing) => thing.key === key)?.title ?? key;
  const words = verdict === null ? (asking ? "Asking…" : TOUCH_HINTS) : touchText(verdict, titleOf);
  return (
    <div class="setup-touch" data-state={verdict?.state ?? "idle"}>
      <p role="status" data-testid="touch-words">
        {words}
      </p>
      {waiting ? (
        <button type="button" class="button" data-testid="touch-stop" onClick={stop}>
          Stop
        </button>
      ) : (
        <button type="button" class="button button-main" data-testid="touch" onClick={ask}>
          {asking ? "Ask again" : "Which one is it?"}
        </button>
      )}
    </div>
  );
}
