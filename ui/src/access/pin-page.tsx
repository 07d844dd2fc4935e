import { useEffect, useRef, useState } from "preact/hooks";
import { useLocation } from "preact-iso/router";
import { LONGEST_PIN, SHORTEST_PIN } from "../../../station/model/access.js";
import { useDoing } from "../link/asked.js";
import { RefusalText } from "../marks/refusal.js";
import { usePageTitle } from "../shell/page-title.js";
import { askAccess } from "./ask-access.js";
import { backFrom } from "./back.js";
import { may, me, nowIs } from "./me.js";

const DIGITS = ["1", "2", "3", "4", "5", "6", "7", "8", "9"];

/** The screen on the wall looks; with the PIN it operates, until nobody has done anything for a while. */
export function PinPage() {
  usePageTitle("PIN");
  const known = me.value;
  return (
    <div class="page page-narrow">
      <h1>Operate at this screen</h1>
      {known !== null && known.raisedLeftMs !== null ? (
        <Raised leftMs={known.raisedLeftMs} />
      ) : may("operator") ? (
        <p>This screen may operate already.</p>
      ) : known?.pinSet ? (
        <Pad />
      ) : (
        <p>
          No PIN is set. The owner sets one on the page Access; until then{" "}
          <a href="/sign-in">sign in with a passphrase</a>.
        </p>
      )}
    </div>
  );
}

function Raised({ leftMs }: { leftMs: number }) {
  const { busy, refusal, attempt } = useDoing();
  return (
    <div class="card">
      <p>
        This screen operates. It only looks again once nobody has done anything for{" "}
        {Math.max(1, Math.round(leftMs / 60_000))} min.
      </p>
      <RefusalText refusal={refusal} />
      <button
        type="button"
        class="button button-main"
        data-testid="pin-lock"
        aria-disabled={busy}
        onClick={() => void attempt(async () => nowIs(await askAccess.lock()))}
      >
        Only look again now
      </button>
    </div>
  );
}

function Pad() {
  const { query, route } = useLocation();
  const [pin, setPin] = useState("");
  const [short, setShort] = useState(false);
  const { busy, refusal, attempt, forget } = useDoing();
  const add = (digit: string) => {
    forget();
    setShort(false);
    if (pin.length < LONGEST_PIN) setPin(pin + digit);
  };
  const form = useRef<HTMLFormElement>(null);
  // Digits of a keyboard count too.
  useEffect(() => form.current?.focus(), []);
  const enter = async () => {
    setShort(pin.length < SHORTEST_PIN);
    if (pin.length < SHORTEST_PIN) return;
    const done = await attempt(async () => nowIs(await askAccess.enterPin(pin)));
    setPin("");
    if (done) route(backFrom(query.back), true);
  };
  return (
    <form
      class="card pin"
      ref={form}
      tabIndex={-1}
      aria-label="PIN"
      onSubmit={(event) => {
        event.preventDefault();
        void enter();
      }}
      onKeyDown={(event) => {
        if (/^\d$/.test(event.key)) add(event.key);
        else if (event.key === "Backspace") setPin(pin.slice(0, -1));
      }}
    >
      <p class="pin-typed" aria-hidden="true">
        {"●".repeat(pin.length) || " "}
      </p>
      <p class="unseen" role="status">
        {pin.length === 1 ? "1 digit entered" : `${pin.length} digits entered`}
      </p>
      <div class="pin-pad">
        {DIGITS.map((digit) => (
          <button
            key={digit}
            type="button"
            class="button"
            data-testid={`pin-${digit}`}
            onClick={() => add(digit)}
          >
            {digit}
          </button>
        ))}
        <button type="button" class="button" onClick={() => setPin("")}>
          Clear
        </button>
        <button type="button" class="button" data-testid="pin-0" onClick={() => add("0")}>
          0
        </button>
        <button type="submit" class="button button-main" data-testid="pin-enter" aria-disabled={busy}>
          {busy ? "…" : "Enter"}
        </button>
      </div>
      {short && (
        <p class="field-expected" role="alert">
          Expected: {SHORTEST_PIN} to {LONGEST_PIN} digits
        </p>
      )}
      <RefusalText refusal={refusal} />
    </form>
  );
}
