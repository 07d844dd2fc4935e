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
 * Whether the extraction moves air, from the latest readings of its channels. Only good ones have a say: any that shows no
 * air moving makes it stopped (a fan may turn behind a closed damper), else any that shows it moving makes it running, else
 * it is not known.
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
  for (const definition of channels) {
    const reading = latest(definition.id);
    if (reading === null || reading.quality !== "good" || reading.value === null) {
      silent.push(`${shortName(definition)}: ${REASONS[reading?.reason ?? "never-read"].text}`);
      continue;
    }
    if (!movesAir(definition, reading.value)) {
      return { state: "stopped", text: `stopped: ${stillText(definition, reading.value)}` };
    }
    moving.push(movingText(definition, reading.value));
  }
  if (moving.length > 0) return { state: "running", text: `running: ${moving.join(", ")}` };
  return { state: "unknown", text: `not known: ${silent.join("; ")}` };
}

function movesAir({ kind, runningAt }: ChannelDefinition, value: number): boolean {
  return CHANNEL_KINDS[kind].form === "state" ? value === 1 : value >= (runningAt ?? 0);
}

function movingText(definition: ChannelDefinition, value: number): string {
  if (CHANNEL_KINDS[definition.kind].form === "state") return `${shortName(definition)} is on`;
  return `${shortName(definition)} ${withUnit(definition, value)}`;
}

function stillText(definition: ChannelDefinition, value: number): string {
  if (CHANNEL_KINDS[definition.kind].form === "state") return `${shortName(definition)} is off`;
  const least = definition.runningAt ?? 0;
  return `${shortName(definition)} reads ${withUnit(definition, value)}, below ${least} ${UNITS[definition.unit].label}`;
}

/** The text stands under the word "Extraction": a name that begins with it need not say it again. */
function shortName({ name }: ChannelDefinition): string {
  return /^extraction \S/i.test(name) ? name.slice("extraction ".length) : name;
}

function withUnit({ kind, unit }: ChannelDefinition, value: number): string {
  return `${value.toFixed(EXTRACTION_DECIMALS[kind] ?? 1)} ${UNITS[unit].label}`;
}
