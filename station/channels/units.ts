import { CHANNEL_KINDS, type ChannelKind, type Unit } from "../model/quantity.js";

/**
 * True where a value in `unit` may stand for a channel of this kind. The station's units each measure something else
 * (there is one for temperature, one for pressure, ...), so nothing is ever converted: a unit either fits or is a mistake
 * in the wiring or the configuration, and a number in a wrong unit must not be shown as if it were right.
 */
export function unitFits(kind: ChannelKind, unit: Unit): boolean {
  return CHANNEL_KINDS[kind].unit === unit;
}
