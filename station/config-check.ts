import { DISK_NEARLY_FULL_SETPOINT } from "./alarms/definitions.js";
import { defineAlarms } from "./alarms/entry.js";
import { defineChannel } from "./channels/define.js";
import type { ConfigFile } from "./config.js";
import { AppError } from "./errors.js";
import type { Fault } from "./faults.js";
import type { ChannelDefinition } from "./model/channel.js";
import { everyOf, pointsOf } from "./sources/drivers.js";

/** What the schema cannot say of one part alone: that names are used once, and that what is referred to is there. */
export function crossFaults(config: ConfigFile): Fault[] {
  const sources = config.sources.map((source) => source.id);
  const faults = [
    ...twice(sources, "sources"),
    ...twice(
      config.channels.map((channel) => channel.id),
      "channels",
    ),
  ];
  config.channels.forEach((channel, i) => {
    const source = config.sources.find(({ id }) => id === channel.source);
    if (source === undefined) {
      faults.push({
        path: ["channels", i, "source"],
        expected: `the id of one of the sources: ${sources.map((id) => `"${id}"`).join(", ")}`,
      });
      return;
    }
    const expected = pointExpected(pointsOf(source), channel.point);
    if (expected !== null) faults.push({ path: ["channels", i, "point"], expected });
  });
  faults.push(...linesUsedTwice(config), ...reserveFaults(config));
  const { definitions, faults: contradictions } = defineChannels(config);
  const alarms = contradictions.length === 0 ? alarmFaults(config, definitions) : [];
  return [...faults, ...contradictions, ...alarms];
}

/** The channels with their defaults filled in, and what contradicts itself in them. */
export function defineChannels({ channels, sources }: Pick<ConfigFile, "channels" | "sources">): {
  readonly definitions: ChannelDefinition[];
  readonly faults: Fault[];
} {
  const definitions: ChannelDefinition[] = [];
  const faults: Fault[] = [];
  channels.forEach((channel, i) => {
    const source = sources.find(({ id }) => id === channel.source);
    const everyS = source === undefined ? null : everyOf(source);
    if (everyS !== null && (channel.expected_every_s ?? everyS) < everyS) {
      const expected = `at least the ${everyS} s at which its source reads`;
      faults.push({ path: ["channels", i, "expected_every_s"], expected });
      return;
    }
    try {
      definitions.push(defineChannel(everyS === null ? channel : { expected_every_s: everyS, ...channel }));
    } catch (error) {
      if (!(error instanceof AppError)) throw error;
      for (const { path, expected } of error.errors) {
        faults.push({ path: ["channels", i, path.split(".").at(-1) ?? ""], expected });
      }
    }
  });
  return { definitions, faults };
}

/** What the point of a channel should be; null where it is right. @param points null where only the device knows them */
function pointExpected(points: readonly string[] | null, point: string | undefined): string | null {
  if (points === null) return point === undefined ? "the name that the board gives this reading" : null;
  if (point === undefined ? points.length === 1 : points.includes(point)) return null;
  return `one of what the source reads: ${points.map((each) => `"${each}"`).join(", ")}`;
}

/** That the disk is nearly full is to be said before readings are held. */
function reserveFaults({ journal, alarms }: ConfigFile): Fault[] {
  const said = alarms["disk-nearly-full"]?.setpoint ?? DISK_NEARLY_FULL_SETPOINT;
  if (journal.reserve_mb < said) return [];
  return [
    { path: ["journal", "reserve_mb"], expected: `less than the setpoint of disk-nearly-full, ${said} MB` },
  ];
}

/** Alarms can contradict each other, or watch a channel that is not there; they know that themselves. */
function alarmFaults(
  { alarms, backup, coolant_range: coolantRange }: ConfigFile,
  channels: readonly ChannelDefinition[],
): Fault[] {
  try {
    defineAlarms(alarms, { channels, coolantRange, backups: backup !== undefined });
    return [];
  } catch (error) {
    if (!(error instanceof AppError)) throw error;
    return error.errors.map(({ path, expected }) => ({ path: path.split("."), expected }));
  }
}

/** Two that hold one line would turn each other's direction round: an output would drive into a contact. */
function linesUsedTwice({ sources, output_pin: pin }: ConfigFile): Fault[] {
  const taken = new Map<string, string>();
  const faults: Fault[] = [];
  const take = (
    path: readonly PropertyKey[],
    name: string,
    chip: string | undefined,
    line: number | string | undefined,
  ) => {
    if (line === undefined) return;
    const key = `${chip ?? ""} ${line}`;
    const by = taken.get(key);
    if (by === undefined) taken.set(key, name);
    else faults.push({ path, expected: `a line of its own: ${by} has this one` });
  };
  sources.forEach((source, i) => {
    if (source.driver !== "digital-input" && source.driver !== "tachometer") return;
    take(["sources", i, "line"], `source "${source.id}"`, source.chip, source.line);
    if (source.driver === "tachometer") {
      take(["sources", i, "wire_test"], `the wire test of "${source.id}"`, source.chip, source.wire_test);
    }
  });
  if (pin !== undefined) take(["output_pin", "line"], "the output pin", pin.chip, pin.line);
  return faults;
}

function twice(ids: readonly string[], list: string): Fault[] {
  return ids.flatMap((id, i) =>
    ids.indexOf(id) === i
      ? []
      : [
          {
            path: [list, i, "id"],
            expected: `an id that is used once; entry ${ids.indexOf(id) + 1} has it too`,
          },
        ],
  );
}
