import { z } from "zod";
import { resolvePack } from "../../sources/serial/senml.js";
import { type CarriedReading, judgedValue, kindOf, type ReadReading, unitOf } from "./carried.js";
import { named, Refused } from "./refused.js";

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
