import { z } from "zod";
import { resolvePack } from "../../sources/serial/senml.js";
import { type CarriedReading, judgedValue, kindOf, type ReadReading, unitOf } from "./carried.js";
import { named, Refused } from "./refused.js";

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

const labelsSchema = z.looseObject({
  mono: z.int().min(0),
  wall: z.int().optional(),
  boot: z.string().min(1).optional(),
  simulated: z.boolean().optional(),
  quality: z.string().default("good"),
  reason: z.string().default(""),
  name: z.string().optional(),
  kind: z.string().optional(),
});

/** @throws Refused */
export function readingsOfSenml(line: number, text: string): ReadReading[] {
  const json = parsed(line, text);
  const pack = resolvePack(json);
  if (!pack.ok) throw new Refused(line, pack.detail, "a SenML Pack (RFC 8428)");
  const items = json as readonly unknown[];
  if (pack.records.length !== items.length) {
    throw new Refused(line, "a record of base values only", "Packs as the station exports them");
  }
  let boot: string | null = null;
  let simulated: boolean | null = null;
  const channels = new Map<string, NonNullable<CarriedReading["channel"]>>();
  return pack.records.map((record, i) => {
    const labels = labelsSchema.safeParse(items[i]);
    if (!labels.success) {
      const { path, message } = labels.error.issues[0] ?? { path: [], message: "" };
      throw new Refused(
        line,
        `record ${i + 1} with no fitting "${path.join(".")}" (${message})`,
        "the labels of the station's own export",
      );
    }
    const { mono, wall, quality, reason, name, kind } = labels.data;
    boot ??= labels.data.boot ?? null;
    simulated ??= labels.data.simulated ?? null;
    const slash = record.name.lastIndexOf("/");
    if (slash < 1 || boot === null || simulated === null) {
      throw new Refused(
        line,
        `the name ${named(record.name)}`,
        "session/channel, with boot and simulated in the first record",
      );
    }
    const channel = record.name.slice(slash + 1);
    if (kind !== undefined && record.unit !== null) {
      const unit = unitOf(line, record.unit === "/" ? "state" : record.unit);
      channels.set(channel, { name: name ?? "", kind: kindOf(line, kind), unit });
    }
    const { value } = record;
    if (value.kind !== "number" && value.kind !== "string") {
      throw new Refused(
        line,
        `record ${i + 1} with another value`,
        "a number, or the reason why there is none",
      );
    }
    return {
      line,
      session: { start: record.name.slice(0, slash), bootId: boot, simulated },
      channel: channels.get(channel) ?? null,
      reading: {
        channel,
        at: { wall: wall ?? Math.round(record.time * 1000), mono },
        ...judgedValue(line, value.kind === "number" ? value.value : null, quality, reason),
      },
    };
  });
}

function parsed(line: number, text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    throw new Refused(line, named(text), "a SenML Pack in JSON");
  }
}
