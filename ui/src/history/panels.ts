import type { LiveChannel } from "../../../station/model/now.js";
import type { ChannelKind, Unit } from "../../../station/model/quantity.js";
import { isState } from "../words/number.js";

/** What a chart must know of a channel. */
export type Charted = Pick<LiveChannel, "id" | "name" | "kind" | "unit" | "decimals" | "staleAfterMs">;

/** Channels that share one axis. */
export interface Panel {
  readonly key: string;
  readonly unit: Unit;
  readonly state: boolean;
  readonly channels: readonly Charted[];
}

/** One panel for each unit, and one for each state: lines that jump between two heights hide each other. */
export function panelsOf(channels: readonly Charted[]): readonly Panel[] {
  const panels = new Map<string, { key: string; unit: Unit; state: boolean; channels: Charted[] }>();
  for (const channel of channels) {
    const state = isState(channel.kind);
    const key = state ? `state ${channel.id}` : channel.unit;
    const panel = panels.get(key);
    if (panel === undefined) panels.set(key, { key, unit: channel.unit, state, channels: [channel] });
    else panel.channels.push(channel);
  }
  return [...panels.values()];
}

const FIRST_SHOWN: readonly (readonly ChannelKind[])[] = [
  ["coolant-inlet", "coolant-outlet"],
  ["room-temperature"],
  ["extraction-airflow", "extraction-pressure", "extraction-speed"],
];

/** What is shown where nobody has chosen: coolant, room and extraction; failing all of them, the first channel. */
export function firstShown(channels: readonly Charted[]): readonly string[] {
  const found = FIRST_SHOWN.flatMap((kinds) => {
    const channel = kinds.map((kind) => channels.find((each) => each.kind === kind)).find((each) => each);
    return channel ? [channel.id] : [];
  });
  return found.length > 0 ? found : channels.slice(0, 1).map(({ id }) => id);
}
