import type { FoundChip } from "../../../station/model/setup.js";
import { ChoiceRow } from "../trials/typed/choice-row.js";
import type { LooksAt, Pull } from "./ask-setup.js";

const MOST = 8;

const PULLS = [
  ["", "As it is"],
  ["pull-up", "To 3.3 V"],
  ["pull-down", "To ground"],
] as const;

/**
 * The lines that are looked at: those that somebody says have a wire on them. To look at a line is to take it, which would
 * end a bus that runs over it; so none is picked by itself.
 */
export function LinesCard(props: {
  chips: readonly FoundChip[];
  at: LooksAt;
  change: (at: LooksAt) => void;
}) {
  const { chips, at, change } = props;
  const shown = chips.filter(({ lines }) => lines.length > 0);
  if (shown.length === 0) return null;
  const full = at.lines.length >= MOST;
  return (
    <section class="card" aria-labelledby="lines-title">
      <h2 id="lines-title">Switches and contacts on GPIO lines</h2>
      <p>
        Pick the lines that have a wire on them, {MOST} at most; their levels then stand above. The numbers
        are those of GPIO, not of the pins. A line that is picked is made an input.
      </p>
      <ChoiceRow
        legend="Resistor inside the Pi"
        choices={PULLS}
        value={at.bias ?? ""}
        change={(value) => change({ ...at, bias: value === "" ? null : (value as Pull) })}
      />
      <p class="soft">A contact that closes to ground wants one to 3.3 V.</p>
      {shown.map(({ label, lines }) => (
        <fieldset class="setup-lines" key={label}>
          <legend>{label}</legend>
          <div class="setup-line-grid">
            {lines.map(({ line, name, usedBy, caution }) => {
              const picked = at.lines.some((each) => each.chip === label && each.line === line);
              const others = at.lines.filter((each) => each.chip !== label || each.line !== line);
              const why = usedBy ?? caution;
              return (
                <label class="choice setup-line" key={line}>
                  <input
                    type="checkbox"
                    checked={picked}
                    disabled={!picked && (usedBy !== null || full)}
                    onChange={() =>
                      change({ ...at, lines: picked ? others : [...at.lines, { chip: label, line }] })
                    }
                  />
                  <span>
                    {line}
                    {name !== null && name !== `GPIO${line}` && ` ${name}`}
                    {why !== null && <small> {usedBy === null ? why : `taken: ${usedBy}`}</small>}
                  </span>
                </label>
              );
            })}
          </div>
        </fieldset>
      ))}
    </section>
  );
}
