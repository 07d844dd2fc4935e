import type { StationConfig } from "../config.js";
import { AppError } from "../errors.js";
import { CHANNEL_KINDS, type ChannelKind } from "../model/quantity.js";
import type { FirstFacts, RoleChange } from "../model/setup.js";
import type { DriverEntry } from "../sources/drivers.js";
import type { ConfigEdit, Setting } from "./config-edit.js";
import type { BareEntry, Connected } from "./connected.js";

export interface Proposal {
  readonly edits: readonly ConfigEdit[];
  /** What whoever writes it should know before. */
  readonly notes: readonly string[];
}

type Given = Extract<RoleChange, { act: "give" }>;

/** Ids go into the journal and stay for good; those of the example file where it has one. */
const IDS: Partial<Record<ChannelKind, string>> = {
  "coolant-inlet": "coolant-in",
  "coolant-outlet": "coolant-out",
  "room-temperature": "room-t",
  "room-humidity": "room-rh",
  "extraction-speed": "fan-speed",
  "laser-on": "laser",
  "lid-open": "lid",
};
/** The step of a DS18B20 at 12 bits, °C (its data sheet, from memory). */
const PROBE_STEP = 0.0625;

/**
 * The edits that give a connected thing its role. A source that the configuration has already is not entered twice, and a
 * channel that only gets another name keeps its id and all that was set for it.
 * @param config what station.yaml says now; null where there is none
 * @throws AppError `setup-refused` where the thing cannot have this role
 */
export function proposeRole(given: Given, connected: Connected, config: StationConfig | null): Proposal {
  const { kind, name, point } = given;
  const { thing } = connected;
  const measured = thing.points.find((each) => each.point === point);
  const pulses = thing.sort === "line" && kind === "extraction-speed";
  if (measured === undefined || (CHANNEL_KINDS[kind].unit !== measured.unit && !pulses)) {
    throw new AppError("setup-refused", `${thing.title} does not measure ${CHANNEL_KINDS[kind].label}.`);
  }
  const first = config === null ? given.first : null;
  if (config === null && first === null) {
    throw new AppError(
      "setup-refused",
      "The first station.yaml wants the station's name and the coolant range.",
    );
  }
  const source = config?.sources.find((entry) => connected.means(entry));
  const held = config?.channels.find(
    (channel) => channel.source === source?.id && (channel.point === null || channel.point === point),
  );
  const others = config?.channels.filter((channel) => channel.kind === kind && channel !== held) ?? [];
  const notes = [
    ...(first === null ? [] : FIRST_NOTES),
    ...others.map(
      (other) =>
        `“${other.name}” has this role already, and the station goes by the first in the file. Take the role from it first, if it is no longer to have it.`,
    ),
    ...(pulses
      ? ["A fan of two pulses a turn is assumed. Its sheet wins: pulses_per_unit in station.yaml."]
      : []),
  ];
  if (held !== undefined && held.kind === kind) {
    const renamed: ConfigEdit = {
      edit: "set-entry",
      list: "channels",
      id: held.id,
      key: "name",
      value: name,
    };
    return { edits: [...sourceEdits(given, connected.entry, source, held.source), renamed], notes };
  }
  const taken = config?.channels.map(({ id }) => id) ?? [];
  const channel: { id: string; [key: string]: Setting } = {
    id: freeId(IDS[kind] ?? kind, taken),
    name,
    kind,
    source: source?.id ?? freeId(sourceName(connected, kind), config?.sources.map(({ id }) => id) ?? []),
    ...(thing.sort === "sensor" || thing.sort === "board" ? { point } : {}),
    ...(thing.sort === "probe" ? { resolution: PROBE_STEP } : {}),
    // What was found with ice water belongs to the probe, and goes with it into its next role.
    ...(held?.calibration ? { calibration: held.calibration as unknown as Setting } : {}),
  };
  const drop: ConfigEdit[] = held === undefined ? [] : [{ edit: "drop", list: "channels", id: held.id }];
  return {
    edits: [
      ...firstEdits(first),
      ...sourceEdits(given, connected.entry, source, channel.source as string),
      ...drop,
      { edit: "put", list: "channels", entry: channel },
    ],
    notes,
  };
}

/** The edits that take a channel away, and its source where nothing else is read from that. */
export function proposeTaking(channel: string, config: StationConfig | null): Proposal {
  const held = config?.channels.find(({ id }) => id === channel);
  if (config === null || held === undefined) {
    throw new AppError(
      "setup-refused",
      `station.yaml has no channel ${channel}. Look again at what is connected.`,
    );
  }
  if (config.channels.length === 1) {
    throw new AppError(
      "setup-refused",
      "It is the only one that the station reads, and a station reads one at least. Give another its role first.",
    );
  }
  const alone = config.channels.every(({ id, source }) => id === channel || source !== held.source);
  return {
    edits: [
      { edit: "drop", list: "channels", id: channel },
      ...(alone ? [{ edit: "drop", list: "sources", id: held.source } as const] : []),
    ],
    notes: ["What was read by it stays in the journal, under its name."],
  };
}

const FIRST_NOTES = [
  "The station has shown the simulated bench so far. From its next start it shows what is connected, with a journal of its own, which begins empty.",
  "Who may sign in belongs to that journal too: until a passphrase is set there, the pages are shown on the station's own screen only.",
];

function firstEdits(first: FirstFacts | null): readonly ConfigEdit[] {
  if (first === null) return [];
  return [
    { edit: "set", path: ["station", "name"], value: first.name },
    { edit: "set", path: ["coolant_range"], value: { low: first.low, high: first.high } },
  ];
}

function sourceEdits(
  { kind, activeLow }: Given,
  entry: BareEntry,
  known: DriverEntry | undefined,
  id: string,
): readonly ConfigEdit[] {
  const wanted = lineEntry(entry, kind, activeLow);
  if (known?.driver !== wanted.driver) return [{ edit: "put", list: "sources", entry: { id, ...wanted } }];
  if (known.driver === "digital-input" && known.active_low !== activeLow) {
    return [{ edit: "set-entry", list: "sources", id, key: "active_low", value: activeLow }];
  }
  return [];
}

/** A line is read as a contact, or its pulses are counted, by what hangs on it. */
function lineEntry(entry: BareEntry, kind: ChannelKind, activeLow: boolean): BareEntry {
  if (entry.driver !== "digital-input") return entry;
  if (kind === "extraction-speed") return { ...entry, driver: "tachometer" };
  return activeLow ? { ...entry, active_low: true } : entry;
}

function sourceName({ thing, entry }: Connected, kind: ChannelKind): string {
  switch (thing.sort) {
    case "probe":
      return `${IDS[kind] ?? kind}-probe`;
    case "sensor":
      return `${String(entry.name)
        .toLowerCase()
        .replace(/[^a-z0-9]+/g, "-")
        .replace(/^-|-$/g, "")
        .slice(0, 30)}-sensor`;
    case "board":
      return "board";
    case "line":
      return `gpio-${String(entry.line)}`;
  }
}

function freeId(wanted: string, taken: readonly string[]): string {
  const first = wanted.replace(/^[^a-z0-9]+/, "");
  for (let n = 1; ; n += 1) {
    const id = n === 1 ? first : `${first}-${n}`;
    if (!taken.includes(id)) return id;
  }
}
