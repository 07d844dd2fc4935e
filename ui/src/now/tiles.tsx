import type { LiveValue, NowSnapshot } from "../../../station/model/now.js";
import { silentMs } from "../link/heard.js";
import { Sign } from "../marks/signs.js";
import { decimalsOf, isState, NO_VALUE, stateWord, withUnit } from "../words/number.js";
import { ageText } from "../words/time.js";

/** Shown large elsewhere on the page, or told in its sentences. */
const ELSEWHERE = new Set(["dew-point", "condensation-margin", "coolant-slope", "coolant-time-in-range"]);

function Tile({ id, name, text, live }: { id: string; name: string; text: string; live: LiveValue }) {
  const age = live.ageMs === null ? "never read" : `${ageText(live.ageMs + silentMs.value)} old`;
  return (
    <div class={`tile tile-${live.quality}`} data-testid={`tile-${id}`}>
      <dt>{name}</dt>
      <dd>
        <span class="tile-value">{text}</span>
        {live.quality !== "good" && (
          <span class="tile-doubt">
            <Sign name="unknown" />
            <span>
              {live.quality === "bad" ? "No value" : "Doubtful"}: {live.reasonText}
            </span>
          </span>
        )}
        <span class="tile-age">{age}</span>
      </dd>
    </div>
  );
}

export function Tiles({ now }: { now: NowSnapshot }) {
  const channels = now.channels.filter(({ id }) => id !== now.coolant.channel);
  const conditions = now.conditions.filter(({ id }) => !ELSEWHERE.has(id));
  return (
    <section class="tiles-section" aria-labelledby="tiles-title">
      <h2 id="tiles-title">Other values</h2>
      <dl class="tiles">
        {channels.map((channel) => (
          <Tile
            key={channel.id}
            id={channel.id}
            name={channel.name}
            live={channel}
            text={
              channel.value === null
                ? NO_VALUE
                : isState(channel.kind)
                  ? stateWord(channel.kind, channel.value)
                  : withUnit(channel.value, channel.decimals, channel.unit)
            }
          />
        ))}
        {conditions.map((condition) => (
          <Tile
            key={condition.id}
            id={condition.id}
            name={condition.label}
            live={condition}
            text={
              condition.value === null
                ? NO_VALUE
                : withUnit(condition.value, decimalsOf(condition.unit), condition.unit)
            }
          />
        ))}
      </dl>
    </section>
  );
}
