import { chooseCautions } from "../safety/rules.js";
import type { StationPicture } from "./alarms/picture.js";
import type { AfterCutDesk } from "./cautions/after-cut-desk.js";
import type { DerivedValue, Deriver } from "./conditions/deriver.js";
import type { Outlook } from "./conditions/outlook.js";
import { judgeReadiness, leastMargin, type ValueInForce } from "./conditions/readiness.js";
import type { AlarmDefinition, AlarmKind, Priority, StandingAlarm, SuppressedAlarm } from "./model/alarm.js";
import type { BackupsState } from "./model/backup.js";
import type { Caution } from "./model/caution.js";
import type { ChannelDefinition } from "./model/channel.js";
import type { DiskView } from "./model/disk.js";
import type { FilterView } from "./model/filter.js";
import type { ClockState, Instant } from "./model/instant.js";
import type { Readiness } from "./model/now.js";
import type { ChannelKind, ConditionId } from "./model/quantity.js";
import type { Reading } from "./model/reading.js";
import type { Run, RunSettings } from "./model/run.js";
import type { SoundnessView } from "./model/soundness.js";

export interface SituationParts {
  readonly definitions: readonly ChannelDefinition[];
  readonly coolantRange: { readonly low: number; readonly high: number };
  readonly alarmDefinitions: () => readonly AlarmDefinition[];
  /** The least flow the tube's maker asks for, L/min, where no alarm says another; null where none is set. */
  readonly leastFlow: number | null;
  readonly latest: (channel: string) => Reading | null;
  readonly deriver: Pick<Deriver, "current" | "trend" | "extraction">;
  readonly runs: { current(): Run | null; jobSheet(): RunSettings; lastEndMono(): number | null };
  readonly outlook: Pick<Outlook, "margin" | "usualHeight">;
  readonly filter: () => FilterView | null;
  readonly afterCut: Pick<AfterCutDesk, "step">;
  readonly standing: () => readonly StandingAlarm[];
  readonly suppressed: () => readonly SuppressedAlarm[];
  readonly opticsHours: (now: Instant) => number | null;
  readonly journal: () => StationPicture["journal"];
  readonly soundness: () => SoundnessView;
  readonly disk: () => DiskView;
  readonly backups: () => BackupsState;
  readonly clockState: () => ClockState;
}

/** How the station stands at this moment, put the way each of those who judge it asks. */
export interface Situation {
  picture(now: Instant): StationPicture;
  readiness(): Readiness;
  cautions(now: Instant): readonly Caution[];
}

const NEVER_READ: ValueInForce = { value: null, quality: "bad", reason: "never-read" };

export function createSituation(parts: SituationParts): Situation {
  const { definitions, coolantRange, latest, deriver, runs } = parts;
  const firstOf = (...kinds: readonly ChannelKind[]) =>
    definitions.find(({ kind }) => kinds.includes(kind)) ?? null;
  const coolant = firstOf("coolant-inlet");
  const laser = firstOf("laser-on");
  const lid = firstOf("lid-open");
  const roomTemperature = firstOf("room-temperature");
  const roomHumidity = firstOf("room-humidity");
  const flow = firstOf("coolant-flow") ?? firstOf("coolant-flowing");
  /** As it is set now: the owner may set it otherwise at any time. */
  const setpointOf = (wanted: AlarmKind) =>
    parts.alarmDefinitions().find(({ kind }) => kind === wanted)?.setpoint ?? null;
  const leastMarginC = () => leastMargin(parts.alarmDefinitions());

  const readingOf = (channel: ChannelDefinition | null) => (channel === null ? null : latest(channel.id));
  /** Null only where nothing of the kind is set up. */
  const valueInForce = (channel: ChannelDefinition | null): ValueInForce | null =>
    channel === null ? null : (latest(channel.id) ?? NEVER_READ);
  const conditionOf = (id: ConditionId): DerivedValue | null =>
    deriver.current().find(({ condition }) => condition === id) ?? null;
  const marginFitted = coolant !== null && roomTemperature !== null && roomHumidity !== null;
  const margin = () => (marginFitted ? (conditionOf("condensation-margin") ?? NEVER_READ) : null);

  /** Nobody makes a machine fit to cut by keeping its alarms silent: what a person has suppressed counts while it is there. */
  const inForce = (): readonly { readonly kind: AlarmKind; readonly priority: Priority }[] => [
    ...parts.standing().filter(({ state }) => state !== "returned-unacknowledged"),
    ...parts
      .suppressed()
      .filter(({ state, conditionThere }) => conditionThere && state !== "suppressed-by-design"),
  ];

  return {
    picture(now) {
      const run = runs.current();
      const { value, quality } = margin() ?? NEVER_READ;
      const laserOn = readingOf(laser)?.value === 1;
      const lidNow = readingOf(lid)?.value ?? null;
      const lidOpen = lidNow === null ? null : lidNow === 1;
      const extraction = deriver.extraction();
      return {
        now,
        channels: definitions.map((definition) => ({ definition, reading: latest(definition.id) })),
        margin: { value, quality },
        extraction,
        trend: deriver.trend(),
        usualHeightC: parts.outlook.usualHeight(),
        marginAhead: parts.outlook.margin(),
        leastMarginC: leastMarginC(),
        afterCut: parts.afterCut.step({
          nowMono: now.mono,
          cutting: run !== null || laserOn,
          extraction: extraction.state,
          lidOpen,
        }),
        lidOpen,
        run: run === null ? null : { id: run.id, startMono: run.startMono },
        filter: parts.filter(),
        laserOn,
        coolantRange,
        journal: parts.journal(),
        soundness: parts.soundness(),
        disk: parts.disk(),
        backups: parts.backups(),
        clock: parts.clockState(),
      };
    },
    readiness() {
      const flowNow = valueInForce(flow);
      const measured = flow?.kind === "coolant-flow";
      return judgeReadiness({
        coolant: readingOf(coolant),
        range: coolantRange,
        trend: deriver.trend(),
        margin: margin(),
        minMarginC: leastMarginC(),
        extraction: deriver.extraction(),
        cutting: runs.current() !== null || readingOf(laser)?.value === 1,
        flow:
          flowNow === null
            ? null
            : { ...flowNow, least: measured ? (setpointOf("coolant-flow-lost") ?? parts.leastFlow) : null },
        room: { temperature: valueInForce(roomTemperature), humidity: valueInForce(roomHumidity) },
        journalWriting: parts.journal().writing,
        urgentAlarms: inForce().filter(({ priority }) => priority === "urgent").length,
      });
    },
    cautions(now) {
      const run = runs.current();
      const lastEnd = runs.lastEndMono();
      const lidNow = readingOf(lid)?.value ?? null;
      return chooseCautions({
        material: (run?.settings ?? runs.jobSheet()).material,
        runOpen: run !== null,
        laserOn: readingOf(laser)?.value === 1,
        extraction: deriver.extraction().state,
        coolant: coolantPlace(readingOf(coolant), coolantRange),
        condensationRisk: inForce().some(({ kind }) => kind === "condensation-risk"),
        lidOpen: lidNow === null ? null : lidNow === 1,
        opticsCleanedHoursAgo: parts.opticsHours(now),
        secondsSinceRunEnd: run !== null || lastEnd === null ? null : (now.mono - lastEnd) / 1000,
      });
    },
  };
}

function coolantPlace(
  reading: Reading | null,
  range: { readonly low: number; readonly high: number },
): "in-range" | "out-of-range" | "unknown" {
  if (reading === null || reading.value === null) return "unknown";
  return reading.value < range.low || reading.value > range.high ? "out-of-range" : "in-range";
}
