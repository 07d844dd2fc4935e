import { unitLabel } from "../words/number.js";
import { MOST_CHANNELS } from "./address.js";
import type { Charted } from "./panels.js";

interface Props {
  readonly all: readonly Charted[];
  readonly chosen: readonly string[];
  readonly choose: (channels: readonly string[]) => void;
}

/** Which channels are shown: one at least, and no more than can be told apart. */
export function ChannelChoice({ all, chosen, choose }: Props) {
  const full = chosen.length >= MOST_CHANNELS;
  return (
    <section class="card" aria-labelledby="channels-title">
      <h2 id="channels-title">Channels</h2>
      <div class="channel-choices">
        {all.map(({ id, name, unit }) => {
          const checked = chosen.includes(id);
          return (
            <label class="choice" key={id}>
              <input
                type="checkbox"
                data-testid={`channel-${id}`}
                checked={checked}
                disabled={checked ? chosen.length === 1 : full}
                onChange={() =>
                  choose(
                    // In the order of the configuration, whatever the order of the presses.
                    all
                      .map((channel) => channel.id)
                      .filter((other) => (other === id ? !checked : chosen.includes(other))),
                  )
                }
              />
              <span>
                {name} <span class="soft">{unitLabel(unit)}</span>
              </span>
            </label>
          );
        })}
      </div>
      {full && <p class="soft">{MOST_CHANNELS} at most: take one away to add another.</p>}
    </section>
  );
}
