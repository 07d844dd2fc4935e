import { LineCounter, parseDocument } from "yaml";
import { z } from "zod";
import { alarmsEntrySchema } from "./alarms/entry.js";
import { FIRE_WATCH_MIN, LOOK_EVERY_MIN } from "./conditions/fire-watch.js";
import { RUN_ON_S } from "./conditions/run-on.js";
import { crossFaults, defineChannels } from "./config-check.js";
import { AppError } from "./errors.js";
import { faultsOf } from "./faults.js";
import { RESERVE_BYTES } from "./journal/disk/room.js";
import { type ChannelDefinition, channelSchema, textSchema } from "./model/channel.js";
import { isWithheld, outwardSchema, WITHHELD } from "./outward/entry.js";
import { DEMO_CONFIG } from "./sources/bench-simulator/channels.js";
import { digitalOutputEntrySchema } from "./sources/digital-input/output-entry.js";
import { driverEntrySchema } from "./sources/drivers.js";

const coolantRangeSchema = z
  .strictObject({ low: z.number().min(-20).max(80), high: z.number().min(-20).max(80) })
  .refine((range) => range.low < range.high, "low below high");

const keptCount = (usual: number, least: number, most: number) => z.int().min(least).max(most).default(usual);
const backupSchema = z.strictObject({
  /** Where to: a folder that is there, best on a drive of its own. */
  folder: z.string().min(1),
  /** Local time of day. */
  at: z
    .string()
    .regex(/^([01]\d|2[0-3]):[0-5]\d$/, 'a time of day such as "03:30", in quotes')
    .default("03:30"),
  /** The newest backup of each of so many days, weeks and months is kept. */
  keep: z
    .strictObject({
      daily: keptCount(7, 1, 366),
      weekly: keptCount(5, 0, 520),
      monthly: keptCount(12, 0, 1200),
    })
    .prefault({}),
});

/** What is to be done once a cut has ended. */
const afterCutSchema = z.strictObject({
  /** How long the extraction should run on, seconds; 0 for no run-on. */
  run_on_s: z.number().min(0).max(3600).default(RUN_ON_S),
  /** How long to watch for fire after stock that smoulders, minutes; 0 for no watch. */
  fire_watch_min: z.number().min(0).max(480).default(FIRE_WATCH_MIN),
  /** How often somebody is asked to look in that time, minutes. */
  look_every_min: z.number().min(0.1).max(60).default(LOOK_EVERY_MIN),
});

/** station.yaml. Names with a unit at their end are in that unit. */
export const configSchema = z.strictObject({
  station: z.strictObject({ name: textSchema(60).min(1).default("Workshop station") }).prefault({}),
  web: z
    .strictObject({
      /**
       * 127.0.0.1 shows the pages on this machine only; 0.0.0.0 on the workshop's network too, once a passphrase is set.
       */
      host: z.string().min(1).default("127.0.0.1"),
      port: z.int().min(0).max(65535).default(8080),
      /** Further names that the station is reached by, as a router or a name server knows it. */
      names: z
        .array(z.string().regex(/^[a-z0-9]([a-z0-9.-]{0,251}[a-z0-9])?$/i, "a name, without a port"))
        .max(20)
        .default([]),
      /**
       * A proxy on this machine hands requests on: being on this machine says nothing then, and everybody signs in, here too.
       */
      behind_proxy: z.boolean().default(false),
      /** Paths of the owner's certificate and its key, PEM: the network is then spoken to over TLS, on a port of its own. */
      tls: z
        .strictObject({
          cert: z.string().min(1),
          key: z.string().min(1),
          port: z.int().min(0).max(65535).default(8443),
        })
        .optional(),
    })
    .prefault({}),
  journal: z
    .strictObject({
      folder: z.string().min(1).optional(),
      /** The last of its disk, which readings leave to runs, alarms and settings, MB. */
      reserve_mb: z
        .number()
        .min(1)
        .max(1e6)
        .default(RESERVE_BYTES / 1e6),
      /** Older readings keep their minutes only, but for what the stamps of runs were made of; without it, for ever. */
      keep_full_resolution_days: z.int().min(30).max(36_500).optional(),
    })
    .prefault({}),
  /** Backups of the journal while the station runs; none without this section. */
  backup: backupSchema.optional(),
  /** The range the coolant should keep, from the tube maker's manual, °C. */
  coolant_range: coolantRangeSchema,
  runs: z
    .strictObject({
      /** A laser that is off for less than this does not end a run, seconds. */
      join_gap_s: z.number().min(0).max(600).default(8),
      /** Share of good data below which a stamp says "unknown", 0 to 1. */
      min_good_share: z.number().min(0).max(1).default(0.8),
    })
    .prefault({}),
  after_cut: afterCutSchema.prefault({}),
  alarms: alarmsEntrySchema.prefault({}),
  /** A lamp or sounder that is on while anything urgent is unacknowledged. */
  output_pin: digitalOutputEntrySchema.optional(),
  /** Who outside the shop is told of alarms, and how; nobody without this section. */
  outward: outwardSchema.optional(),
  sources: z.array(driverEntrySchema).min(1, "at least one source"),
  channels: z.array(channelSchema).min(1, "at least one channel"),
});
export type ConfigFile = z.infer<typeof configSchema>;

export type StationConfig = Readonly<Omit<ConfigFile, "channels">> & {
  readonly channels: readonly ChannelDefinition[];
};

/**
 * Reads the text of a station.yaml. The result is frozen.
 * @throws AppError `config-invalid`, naming for every fault its line, its path, what was found and what was expected
 */
export function readConfig(text: string, file: string): StationConfig {
  const lines = new LineCounter();
  const document = parseDocument(text, { lineCounter: lines, prettyErrors: false });
  const lineOf = (path: readonly PropertyKey[]): number => {
    // A thing that is missing has no line of its own: the line of what should hold it is named.
    for (let depth = path.length; depth >= 0; depth -= 1) {
      const node = document.getIn(path.slice(0, depth), true) as { range?: readonly number[] } | undefined;
      if (node?.range?.[0] !== undefined) return lines.linePos(node.range[0]).line;
    }
    return 1;
  };
  if (document.errors.length > 0) {
    throw invalid(
      file,
      document.errors.map((error) => ({
        line: lines.linePos(error.pos[0]).line,
        path: "(file)",
        found: "text that is not YAML",
        expected: error.message,
      })),
    );
  }
  const value = plainValue(document, file);
  const parsed = configSchema.safeParse(value);
  const faults = parsed.success ? crossFaults(parsed.data) : faultsOf(parsed.error);
  if (!parsed.success || faults.length > 0) {
    throw invalid(
      file,
      faults.map(({ path, expected }) => ({
        line: lineOf(path),
        path: nameOfPath(path),
        found: isWithheld(path) ? WITHHELD : nameOfValue(document.getIn(path)),
        expected,
      })),
    );
  }
  return finish(parsed.data);
}

/** @throws AppError where the text refers to a part that is not there, or to one that is too large written out */
function plainValue(document: ReturnType<typeof parseDocument>, file: string): unknown {
  try {
    return document.toJS() ?? {};
  } catch (error) {
    const expected = `every alias to have its anchor (${error instanceof Error ? error.message : String(error)})`;
    throw invalid(file, [{ line: 1, path: "(file)", found: "an alias that leads nowhere", expected }]);
  }
}

/** The configuration of the simulated bench, shown where no station.yaml is given. */
export function demoConfig(): StationConfig {
  return finish(configSchema.parse(DEMO_CONFIG));
}

function finish({ channels, ...rest }: ConfigFile): StationConfig {
  const { definitions } = defineChannels({ channels, sources: rest.sources });
  return deepFreeze({ ...rest, channels: definitions });
}

interface PlacedFault {
  readonly line: number;
  readonly path: string;
  readonly found: string;
  readonly expected: string;
}

function invalid(file: string, faults: readonly PlacedFault[]): AppError {
  const rows = faults.map(
    ({ line, path, found, expected }) => `  line ${line}, ${path}: found ${found}; expected ${expected}`,
  );
  const count = faults.length === 1 ? "one fault" : `${faults.length} faults`;
  return new AppError(
    "config-invalid",
    `${file} has ${count}, and the station does not start half:\n${rows.join("\n")}`,
    faults.map(({ path, expected }) => ({ path, expected })),
  );
}

function nameOfPath(path: readonly PropertyKey[]): string {
  if (path.length === 0) return "(file)";
  return path
    .map((part, i) => (typeof part === "number" ? `[${part}]` : `${i === 0 ? "" : "."}${String(part)}`))
    .join("");
}

function nameOfValue(value: unknown): string {
  if (value === undefined || value === null) return "nothing";
  const text = JSON.stringify(value);
  return text.length > 60 ? `${text.slice(0, 57)}...` : text;
}

function deepFreeze<T>(value: T): T {
  if (typeof value === "object" && value !== null && !Object.isFrozen(value)) {
    Object.freeze(value);
    for (const part of Object.values(value)) deepFreeze(part);
  }
  return value;
}
