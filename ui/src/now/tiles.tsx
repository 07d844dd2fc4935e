import type { LiveValue, NowSnapshot } from "../../../station/model/now.js";
import { silentMs } from "../link/heard.js";
import { Sign } from "../marks/signs.js";
import { decimalsOf, isState, NO_VALUE, shownDecimals, stateWord, withUnit } from "../words/number.js";
import { ageText } from "../words/time.js";

/** Shown large elsewhere on the page, or told in its sentences. */
const ELSEWHERE = new Set(["dew-point", "condensation-margin", "coolant-slope", "coolant-time-in-range"]);

/** How old the value is. Where there is none the reason tells of it, and only a silence has a length worth adding. */
function Age({ live: { ageMs, quality, reason } }: { live: LiveValue }) {
  if (ageMs === null || (quality === "bad" && reason !== "stale")) return null;
  const age = ageText(ageMs + silentMs.value);
  return <span class="tile-age">{quality === "bad" ? `last heard ${age} ago` : `${age} old`}</span>;
}

function Tile({ id, name, text, live }: { id: string; name: string; text: string; live: LiveValue }) {
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
        <Age live={live} />
      </dd>
    </div>
  );
}

export function Tiles({ now }: { now: NowSnapshot }) {
  const channels = now.channels.filter(({ id }) => id !== now.coolant.channel);
  // One that has never been worked out has no sensors here.
  const conditions = now.conditions.filter(({ id, ageMs }) => !ELSEWHERE.has(id) && ageMs !== null);
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
                  : withUnit(channel.value, shownDecimals(channel.unit, channel.decimals), channel.unit)
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
