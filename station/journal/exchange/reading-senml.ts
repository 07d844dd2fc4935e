import type { CarriedReading } from "./carried.js";

/**
 * Readings as SenML (RFC 8428) in its JSON form: a Pack to a line, each complete by itself. Names are the session and the
 * channel, `t` is the wall time. What SenML has no field for is carried in labels of our own, which RFC 8428 section 4.4
 * has other receivers ignore: `mono` (ms), `boot`, `simulated`, `quality` and `reason` where it is not good, `name` and
 * `kind` at a channel's first record in the Pack. A bad reading has no value, which a record must have (section 4.2), so
 * it carries its reason as a string value and can be taken for no measurement.
 */

export const PACK_READINGS = 200;
/** A time below this many seconds would be taken as relative to now (RFC 8428 section 4.5.3). */
const ABSOLUTE_FROM_MS = 2 ** 28 * 1000;

/** A Pack with its line end. All are of one session. */
export function senmlLine(readings: readonly CarriedReading[]): string {
  const told = new Set<string>();
  const records = readings.map(({ session, channel, reading }, i) => {
    const { wall, mono } = reading.at;
    const first = !told.has(reading.channel);
    told.add(reading.channel);
    return {
      ...(i === 0 ? { bn: `${session.start}/`, boot: session.bootId, simulated: session.simulated } : {}),
      n: reading.channel,
      ...(channel === null ? {} : { u: channel.unit === "state" ? "/" : channel.unit }),
      ...(wall < ABSOLUTE_FROM_MS ? { wall } : { t: wall / 1000 }),
      mono,
      ...(reading.value === null ? { vs: reading.reason ?? "bad" } : { v: reading.value }),
      ...(reading.quality === "good" ? {} : { quality: reading.quality, reason: reading.reason ?? "" }),
      ...(first && channel !== null ? { name: channel.name, kind: channel.kind } : {}),
    };
  });
  return `${JSON.stringify(records)}\n`;
}
