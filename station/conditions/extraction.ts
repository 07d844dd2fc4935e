import type { ChannelDefinition } from "../model/channel.js";
import type { ExtractionView } from "../model/now.js";
import { CHANNEL_KINDS, type ChannelKind, UNITS } from "../model/quantity.js";
import { REASONS, type Reading } from "../model/reading.js";

const EXTRACTION_DECIMALS: Readonly<Partial<Record<ChannelKind, number>>> = {
  "extraction-airflow": 1,
  "extraction-pressure": 0,
  "extraction-speed": 0,
  "extraction-running": 0,
};

export function isExtractionKind(kind: ChannelKind): boolean {
  return EXTRACTION_DECIMALS[kind] !== undefined;
}

/**
 * Whether the extraction moves air, from the latest readings of its channels: any that shows no air moving makes it stopped
 * (a fan may turn behind a closed damper), else any that shows it moving makes it running, else it is not known.
 *
 * Only good readings have a say. A pulse count too fast to be trusted has none, although lost pulses can only make it too
 * low: the wire of a stopped fan that has come off picks up the mains, and 50 or 60 Hz look like a fan at speed.
 *
 * Where a fan is seen to turn and another sensor sees no air, `turns` says so: then it is the duct, the damper, the filter or the
 * belt, and starting the fan helps nothing.
 *
 * The text begins with the state ("moves no air" for a fan that turns), and goes on with what was seen.
 */
export function viewExtraction(
  definitions: readonly ChannelDefinition[],
  latest: (channelId: string) => Reading | null,
): ExtractionView {
  const channels = definitions.filter((definition) => isExtractionKind(definition.kind));
  if (channels.length === 0) {
    return { state: "unknown", text: "no extraction sensor is configured" };
  }
  const moving: string[] = [];
  const silent: string[] = [];
  const turning = turningFan(channels, latest);
  for (const definition of channels) {
    const reading = latest(definition.id);
    const value = reading?.value ?? null;
    if (value !== null && reading?.quality === "good") {
      if (!movesAir(definition, value)) {
        const seen = stillText(definition, value);
        return turning === null || definition.kind === "extraction-speed"
          ? { state: "stopped", text: `stopped: ${seen}` }
          : { state: "stopped", text: `moves no air: ${turning}, but ${seen}`, turns: true };
      }
      moving.push(movingText(definition, value));
    } else {
      silent.push(`${subjectOf(definition)}: ${REASONS[reading?.reason ?? "never-read"].text}`);
    }
  }
  if (moving.length > 0) return { state: "running", text: `running: ${moving.join(", ")}` };
  return { state: "unknown", text: `not known: ${silent.join("; ")}` };
}

/** The fan that is seen to turn, with its speed, in words; null where none is. */
function turningFan(
  channels: readonly ChannelDefinition[],
  latest: (channelId: string) => Reading | null,
): string | null {
  const speeds = channels.filter(({ kind }) => kind === "extraction-speed");
  const seen = speeds.map((definition) => ({ definition, reading: latest(definition.id) }));
  const all = seen.every(
    ({ definition, reading }) =>
      reading?.quality === "good" && reading.value !== null && movesAir(definition, reading.value),
  );
  const [first] = seen;
  if (!all || first === undefined) return null;
  return `${subjectOf(first.definition)} turns at ${withUnit(first.definition, first.reading?.value ?? 0)}`;
}

function movesAir({ kind, runningAt }: ChannelDefinition, value: number): boolean {
  return CHANNEL_KINDS[kind].form === "state" ? value === 1 : value >= (runningAt ?? 0);
}

function movingText(definition: ChannelDefinition, value: number): string {
  if (CHANNEL_KINDS[definition.kind].form === "state") return `${subjectOf(definition)} is on`;
  return `${subjectOf(definition)} ${withUnit(definition, value)}`;
}

function stillText(definition: ChannelDefinition, value: number): string {
  if (CHANNEL_KINDS[definition.kind].form === "state") return `${subjectOf(definition)} is off`;
  const least = definition.runningAt ?? 0;
  // To the nearest step it might read as equal to what it is below.
  const nearest = Number(value.toFixed(decimalsOf(definition)));
  const read = withUnit(definition, nearest < least ? value : roundedDown(definition, value));
  return `${subjectOf(definition)} reads ${read}, below ${least} ${UNITS[definition.unit].label}`;
}

/**
 * The text stands after the word "Extraction", in a sentence or as a heading: a name that begins with it need not say it
 * again. A contact that is called after the state it shows cannot be "on": "Extraction running is off" is nobody's English.
 */
function subjectOf({ name, kind }: ChannelDefinition): string {
  const called = CHANNEL_KINDS[kind].form === "state" ? name.replace(/ (?:running|on)$/i, "") : name;
  if (/^extraction$/i.test(called)) return "the extraction switch";
  return /^extraction \S/i.test(called) ? called.slice("extraction ".length) : called;
}

function decimalsOf({ kind }: ChannelDefinition): number {
  return EXTRACTION_DECIMALS[kind] ?? 1;
}

function roundedDown(definition: ChannelDefinition, value: number): number {
  const steps = 10 ** decimalsOf(definition);
  return Math.floor(value * steps) / steps;
}

function withUnit(definition: ChannelDefinition, value: number): string {
  return `${value.toFixed(decimalsOf(definition))} ${UNITS[definition.unit].label}`;
}
