import type { ExtractionView, Fitness, Readiness, ReadinessCheck } from "../model/now.js";
import { type Quality, REASONS, type Reading, type Reason } from "../model/reading.js";
import type { CoolantRange, CoolantTrend } from "./coolant-trend.js";

/** A value in force; null exactly when bad. Readings and derived values are such. */
export interface ValueInForce {
  readonly value: number | null;
  readonly quality: Quality;
  readonly reason: Reason | null;
}

export interface ReadinessInput {
  /** Latest reading of the coolant inlet; null where nothing has been read, or no such channel is configured. */
  readonly coolant: Reading | null;
  /** °C. */
  readonly range: CoolantRange;
  readonly trend: CoolantTrend;
  /** Condensation margin, °C; null where the sensors for it are not configured: then it is not judged. */
  readonly margin: ValueInForce | null;
  /** Least margin to cut with, °C; default 2 (common practice, no source). */
  readonly minMarginC?: number;
  readonly extraction: ExtractionView;
  /** A run is open or the laser is on: then an extraction that stands still is no ordinary thing. */
  readonly cutting: boolean;
  /**
   * Flow of the coolant: a flow switch (1 or 0) or a measured flow, L/min; null where neither is configured: then it is not
   * judged. `least` is the least measured flow to cut with; without it only standstill counts as lost.
   */
  readonly flow: (ValueInForce & { readonly least?: number | null }) | null;
  /** Room temperature, °C, and humidity, % RH; null where not configured. */
  readonly room: { readonly temperature: ValueInForce | null; readonly humidity: ValueInForce | null };
  /** Whether runs are being kept. */
  readonly journalWriting: boolean;
  /** Alarms of priority urgent that have not returned to normal. */
  readonly urgentAlarms: number;
  /** How far the forecast looks ahead, minutes; default: the trend's. */
  readonly horizonMin?: number;
}

/** The least condensation margin to cut with, °C: the setpoint of its alarm, where there is one. */
export function leastMargin(
  alarms: readonly { readonly kind: string; readonly setpoint: number | null }[],
): number {
  return alarms.find(({ kind }) => kind === "condensation-risk")?.setpoint ?? DEFAULT_MIN_MARGIN_C;
}

/** A check, with the words that it lends to the one sentence. */
interface Verdict extends ReadinessCheck {
  readonly because: string;
}

/** °C; common practice, no source. */
export const DEFAULT_MIN_MARGIN_C = 2;

/**
 * Whether the conditions are fit to cut now, and for how long: an advice, never a permission, and never said of danger to
 * people.
 *
 * Not fit: the coolant outside its range or about to leave it within a minute, its flow lost, the extraction stopped while
 * cutting, a margin below the least one, or an urgent alarm standing. Cannot tell: one of these cannot be judged. Not yet:
 * the extraction is off, as it is between jobs. Each outranks the next, and all of them outrank fit. Room readings and the journal are shown but do not decide.
 */
export function judgeReadiness(input: ReadinessInput): Readiness {
  const horizonMin = input.horizonMin ?? input.trend.horizonMin;
  const minutes = input.coolant?.value == null ? null : atMost(input.trend.minutesInRange, horizonMin);
  const deciding = [
    coolantVerdict(input, minutes, horizonMin),
    flowVerdict(input.flow),
    extractionVerdict(input.extraction, input.cutting),
    marginVerdict(input.margin, input.minMarginC ?? DEFAULT_MIN_MARGIN_C),
  ].filter((verdict) => verdict !== null);
  const checks = [...deciding, roomVerdict(input.room), journalVerdict(input.journalWriting)].filter(
    (verdict) => verdict !== null,
  );

  const reasonsFor = (fitness: Fitness) =>
    deciding.filter((verdict) => verdict.fitness === fitness).map((verdict) => verdict.because);
  const against = reasonsFor("not-fit");
  if (against.length === 0 && input.urgentAlarms > 0) against.push(alarmText(input.urgentAlarms));
  const doubts = reasonsFor("cannot-tell");
  const notKept = input.journalWriting ? "" : "; runs are not being kept";

  const answer = (fitness: Fitness, opening: string, because: string): Readiness => ({
    fitness,
    minutes,
    horizonMin,
    sentence: `${opening}: ${because}${notKept}.`,
    checks: checks.map(({ subject, fitness: each, text }) => ({ subject, fitness: each, text })),
  });
  if (against.length > 0) return answer("not-fit", "Not fit to cut", listed(against));
  if (doubts.length > 0) return answer("cannot-tell", "Cannot tell", listed(doubts));
  if (reasonsFor("not-yet").length > 0) {
    return answer("not-yet", "Start the extraction first", deciding[0]?.because ?? "");
  }
  return answer("fit", "Fit to cut", deciding[0]?.because ?? "");
}

function coolantVerdict(
  { coolant, range, trend }: ReadinessInput,
  minutes: number | null,
  horizonMin: number,
): Verdict {
  const subject = "coolant";
  if (coolant === null || coolant.value === null) {
    const text = `No coolant temperature: ${REASONS[coolant?.reason ?? "never-read"].text}.`;
    return { subject, fitness: "cannot-tell", text, because: "the coolant probe is not reporting" };
  }
  const { value } = coolant;
  const doubt =
    coolant.reason === null ? "" : `, but its reading is doubtful (${REASONS[coolant.reason].text})`;
  if (value > range.high || value < range.low) {
    const side = value > range.high ? `above ${celsius(range.high)}` : `below ${celsius(range.low)}`;
    const because = `the coolant is at ${celsius(value)}, ${side}${doubt}`;
    return { subject, fitness: "not-fit", text: `${capitalised(because)}.`, because };
  }
  if (minutes !== null && minutes < 1) {
    const because = `the coolant is at ${celsius(value)} and ${trend.word}, about to leave its range${doubt}`;
    return { subject, fitness: "not-fit", text: `${capitalised(because)}.`, because };
  }
  const text = `Coolant at ${celsius(value)}, in its range of ${range.low} to ${range.high} °C${doubt}.`;
  const because = `the coolant ${stayText(minutes, horizonMin)}${doubt}`;
  return { subject, fitness: "fit", text, because };
}

function stayText(minutes: number | null, horizonMin: number): string {
  if (minutes === null) return "is in range, though it is too early to say for how long";
  if (minutes >= horizonMin) return `should stay in range for more than ${horizonMin} min`;
  return `should stay in range for about ${Math.floor(minutes)} min`;
}

function flowVerdict(flow: ReadinessInput["flow"]): Verdict | null {
  if (flow === null) return null;
  const subject = "coolant-flow";
  if (flow.value === null) {
    const text = `Coolant flow is not known: ${REASONS[flow.reason ?? "never-read"].text}.`;
    return { subject, fitness: "cannot-tell", text, because: "the coolant flow sensor is not reporting" };
  }
  if (flow.value <= 0) {
    return {
      subject,
      fitness: "not-fit",
      text: "The coolant is not flowing.",
      because: "the coolant is not flowing",
    };
  }
  const least = flow.least ?? 0;
  if (flow.value < least) {
    const because = `the coolant flows at ${flow.value.toFixed(1)} L/min, below ${least} L/min`;
    return { subject, fitness: "not-fit", text: `${capitalised(because)}.`, because };
  }
  return { subject, fitness: "fit", text: "The coolant is flowing.", because: "the coolant is flowing" };
}

function extractionVerdict({ state, text, turns }: ExtractionView, cutting: boolean): Verdict {
  const subject = "extraction";
  if (turns === true) {
    const advice = `Extraction ${text}. Look at the damper, the duct, the filter and the fan's belt.`;
    return {
      subject,
      fitness: "not-fit",
      text: advice,
      because: "the extraction turns and moves no air",
    };
  }
  if (state === "stopped") {
    const advice = `Extraction ${text}. Start the extraction before cutting.`;
    return {
      subject,
      fitness: cutting ? "not-fit" : "not-yet",
      text: advice,
      because: "extraction is stopped",
    };
  }
  if (state === "unknown") {
    const because = "it is not known whether extraction is running";
    return { subject, fitness: "cannot-tell", text: `Extraction: ${text}.`, because };
  }
  return { subject, fitness: "fit", text: `Extraction ${text}.`, because: "extraction is running" };
}

function marginVerdict(margin: ReadinessInput["margin"], leastC: number): Verdict | null {
  if (margin === null) return null;
  const subject = "condensation";
  if (margin.value === null) {
    const text = `The dew point margin is not known: ${REASONS[margin.reason ?? "never-read"].text}.`;
    return { subject, fitness: "cannot-tell", text, because: "the condensation margin is not known" };
  }
  if (margin.value >= leastC) {
    const text = `The coolant is ${margin.value.toFixed(1)} °C above the dew point.`;
    return { subject, fitness: "fit", text, because: "the coolant is above the dew point" };
  }
  const place =
    margin.value > 0
      ? `only ${margin.value.toFixed(1)} °C above the dew point, less than ${leastC} °C`
      : `${Math.abs(margin.value).toFixed(1)} °C below the dew point`;
  const outcome = margin.value > 0 ? "may condense" : "will condense";
  const because = `the coolant is ${place}, and water ${outcome} on the tube and the optics`;
  return { subject, fitness: "not-fit", text: `${capitalised(because)}.`, because };
}

function roomVerdict({ temperature, humidity }: ReadinessInput["room"]): Verdict | null {
  const fitted = [
    { value: temperature, name: "temperature", text: (number: number) => celsius(number) },
    { value: humidity, name: "humidity", text: (number: number) => `${number.toFixed(0)} % RH` },
  ].filter((each) => each.value !== null);
  if (fitted.length === 0) return null;
  const dead = fitted.filter((each) => each.value?.value === null);
  const said = fitted.map(({ value, name, text }) =>
    value === null || value.value === null
      ? `${name} not known (${REASONS[value?.reason ?? "never-read"].text})`
      : text(value.value),
  );
  const fitness = dead.length > 0 ? "cannot-tell" : "fit";
  return { subject: "room", fitness, text: `Room: ${said.join(", ")}.`, because: "" };
}

/** Shown as a doubt where runs are lost, but it does not stop anybody from cutting well. */
function journalVerdict(writing: boolean): Verdict {
  return writing
    ? { subject: "journal", fitness: "fit", text: "Runs are being kept.", because: "" }
    : {
        subject: "journal",
        fitness: "cannot-tell",
        text: "Runs are not being kept: the journal is not writing.",
        because: "",
      };
}

function alarmText(count: number): string {
  return count === 1 ? "an urgent alarm is standing" : `${count} urgent alarms are standing`;
}

function atMost(minutes: number | null, most: number): number | null {
  return minutes === null ? null : Math.min(minutes, most);
}

function celsius(value: number): string {
  return `${value.toFixed(1)} °C`;
}

function listed(parts: readonly string[]): string {
  return parts.length < 2 ? (parts[0] ?? "") : `${parts.slice(0, -1).join("; ")}; and ${parts.at(-1)}`;
}

function capitalised(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}
