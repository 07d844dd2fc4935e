import { useRef, useState } from "preact/hooks";
import type { ProposedSetting, SettingsSheet } from "../../../station/model/decision.js";
import { ask } from "../link/ask.js";
import { useDoing } from "../link/asked.js";
import { newId } from "../link/new-id.js";
import { RefusalText } from "../marks/refusal.js";
import { absent, useMissing } from "../settings/missing.js";
import { screenName } from "../shell/screen-name.js";
import { asEntered } from "../words/number.js";

interface Props {
  readonly plan: string;
  readonly setting: ProposedSetting;
  readonly sheet: SettingsSheet | null;
  readonly kept: () => void;
}

/** Puts what was found for a lot on its settings sheet. Speed and margin may be changed first. */
export function ToSheet({ plan, setting, sheet, kept }: Props) {
  const [what, setWhat] = useState("Cut through");
  const [speed, setSpeed] = useState(String(setting.speedMmS));
  const entry = useRef(newId());
  const { busy, refusal, attempt } = useDoing();
  const wanted = Number(speed.trim().replace(",", "."));
  const margin = Math.round((1 - wanted / setting.foundMmS) * 1000) / 10;
  const fit = wanted > 0 && margin >= 0 && margin <= 90;
  const fields = useRef<HTMLDivElement>(null);
  const missing = absent({
    what: [what.trim() !== "", "what the settings are for"],
    speed: [fit, "a speed that is not above the one found, and not below a tenth of it"],
  });
  const { expected, allThere } = useMissing(fields, missing);
  const keep = async () => {
    if (!allThere()) return;
    const { powerPct, passes, focusSpacerMm, conditions, lot } = setting;
    const body = {
      ...{ what: what.trim(), speed_mm_s: wanted, power_pct: powerPct, passes, conditions, plan },
      ...{ focus_spacer_mm: focusSpacerMm, margin_pct: margin, by: screenName(), entry: entry.current },
    };
    if (await attempt(() => ask.putOnSheet(lot, body))) {
      entry.current = newId();
      kept();
    }
  };
  const id = `to-sheet-${setting.lot}`;
  return (
    <div class="to-sheet" ref={fields}>
      <h3>{setting.name}</h3>
      <p>
        Found: {setting.how}. At {asEntered(setting.powerPct)} %, {setting.passes}{" "}
        {setting.passes === 1 ? "pass" : "passes"}
        {setting.focusSpacerMm === null ? "" : `, spacer ${asEntered(setting.focusSpacerMm)} mm`}.
      </p>
      <div class="fields no-print">
        <div class="field">
          <label for={`${id}-what`}>For what</label>
          <input
            id={`${id}-what`}
            type="text"
            value={what}
            maxLength={40}
            aria-invalid={expected.has("what")}
            aria-describedby={expected.has("what") ? `${id}-what-expected` : undefined}
            onInput={(event) => setWhat(event.currentTarget.value)}
          />
          {expected.has("what") && (
            <p class="field-expected" id={`${id}-what-expected`}>
              Expected: {expected.get("what")}
            </p>
          )}
        </div>
        <div class="field">
          <label for={`${id}-speed`}>
            Speed <span class="field-unit">mm/s</span>
          </label>
          <input
            id={`${id}-speed`}
            type="text"
            inputMode="decimal"
            autoComplete="off"
            value={speed}
            aria-invalid={!fit}
            aria-describedby={`${id}-margin`}
            onInput={(event) => setSpeed(event.currentTarget.value)}
          />
        </div>
      </div>
      <p id={`${id}-margin`}>
        {fit
          ? `${asEntered(margin)} % slower than found; the workshop's margin is ${asEntered(setting.marginPct)} %.`
          : `Expected: ${missing.get("speed")}.`}
      </p>
      <RefusalText refusal={refusal} />
      <p class="decision-links">
        <button
          type="button"
          class="button no-print"
          data-testid="put-on-sheet"
          aria-disabled={busy}
          onClick={() => void keep()}
        >
          Put these settings on the settings sheet
        </button>
        {sheet !== null && sheet.lines.length > 0 && (
          <a href={`/settings-sheet/${setting.lot}`}>Settings sheet: {sheet.lines.length} on it</a>
        )}
      </p>
    </div>
  );
}
