import type { DriftAnswer, DriftPoint, ReviewMark, ReviewRun } from "../../model/review.js";
import { counted } from "../counted.js";
import { studentQuantile } from "../student.js";
import { meanDifference } from "../welch.js";

import { withoutCopies } from "./copies.js";
import { type DriftCharts, driftCharts, LEAST_BASELINE } from "./drift-charts.js";
import { type BoundSession, isMoment, type Session, type Sessions, sessionsOf } from "./drift-sessions.js";
import { comparedWords, coolantWords, dayWords, lotWords, monthsWords, upkeepNear } from "./drift-words.js";
import { perCent } from "./figure-words.js";
import type { Stock } from "./stocks.js";

const METHOD =
  "chart of weighted means and chart of cumulated sums of log speed, against the first sessions (spread from moving ranges); sizes by Welch's t";
/** Limits within so much of 1 leave no change that would matter much. */
const NEAR = 0.25;

const NO_FIGURES = { estimate: null, lower: null, upper: null, p: null };

interface Figures {
  /** Of the speeds, with limits. */
  readonly estimate: number;
  readonly lower: number;
  readonly upper: number;
  readonly p: number | null;
}

/**
 * Question three, "is the machine drifting?": of each session in which a reference was cut, the speed that still cuts, on two control
 * charts against the level of the first sessions. Sessions in which everything or nothing was through show a bound and no speed:
 * they are left out, counted, and told of where they speak against the chart.
 * @param reference which runs are of what is cut now and then, always of the same stock
 * @param marks upkeep, in any order
 */
export function reviewDrift(
  runs: readonly ReviewRun[],
  reference: Stock,
  marks: readonly ReviewMark[],
): DriftAnswer {
  const sessions = sessionsOf(withoutCopies(runs.filter(reference.of)));
  const upkeep = marks.filter(({ wall }) => isMoment(wall)).sort((a, b) => a.wall - b.wall);
  const { told } = sessions;
  const charts = driftCharts(told);
  const about = {
    ...{ reference: reference.name, marks: upkeep, method: METHOD },
    n: told.reduce((sum, { runs: its }) => sum + its.length, 0),
    points: told.map((session, i) => pointOf(session, i, charts)),
  };
  if (charts === null) {
    const needed = LEAST_BASELINE + 1 - told.length;
    const sentence = `Cannot tell yet: of ${reference.name} there ${told.length === 1 ? "is" : "are"} ${counted(told.length, "session")} that ${told.length === 1 ? "shows" : "show"} a speed, ${needed} more ${needed === 1 ? "is" : "are"} needed.`;
    return {
      ...{ verdict: "cannot tell", sentence, ...NO_FIGURES, ...about, since: null },
      ...{ baseline: Math.min(told.length, LEAST_BASELINE), warnings: sessions.warnings },
    };
  }
  const against = againstChart(sessions.bounds, charts, told);
  const warnings = [...sessions.warnings, ...against, ...levelWarnings(charts)];
  const found = charts.change === null ? steady : changed;
  return {
    ...about,
    baseline: charts.baseline,
    ...found({ told, charts, upkeep, warnings, against }),
  };
}

interface Given extends Pick<Sessions, "told"> {
  readonly charts: DriftCharts;
  readonly upkeep: readonly ReviewMark[];
  readonly warnings: readonly string[];
  readonly against: readonly string[];
}

type Found = Figures & Pick<DriftAnswer, "verdict" | "sentence" | "warnings" | "since">;

function steady({ told, charts, warnings, against }: Given): Found {
  const { figures, cautions } = ratioOf(told.slice(0, charts.baseline), told.slice(charts.baseline), charts);
  const close = Math.max(figures.upper, 1 / figures.lower) <= 1 + NEAR;
  const isKnown = close && against.length === 0;
  const held = comparedWords(figures, whenWords(told.slice(0, charts.baseline), told));
  const seen = `${counted(told.length, "session")}, ${charts.baseline} of them for the level`;
  const sentence = isKnown
    ? `No sign that the machine is drifting: it gives ${held}, which chance alone does (${seen}).`
    : against.length > 0
      ? `Cannot tell: no chart signals, but sessions that show no speed speak against that (${seen}).`
      : `Cannot tell: no chart signals, but it may give ${held} (${seen}).`;
  return {
    ...{ verdict: isKnown ? "no sign" : "cannot tell", sentence, ...figures, since: null },
    warnings: [...warnings, ...cautions],
  };
}

/** When the level was; by the count of its sessions where the months would not tell it from what came later. */
function whenWords(level: readonly Session[], later: readonly Session[]): string {
  const months = (sessions: readonly Session[]) =>
    monthsWords((sessions[0] as Session).wall, (sessions.at(-1) as Session).wall);
  return months(level) === months(later)
    ? `in the first ${counted(level.length, "session")}`
    : `in ${months(level)}`;
}

function changed({ told, charts, upkeep, warnings }: Given): Found {
  const { from, to } = charts.change as NonNullable<DriftCharts["change"]>;
  const [before, since] = [told.slice(0, from), told.slice(from, to + 1)];
  const { figures, cautions } = ratioOf(before, since, charts);
  const [last, begun] = [before.at(-1), since[0]] as [Session, Session];
  const isOver = to < told.length - 1;
  const when = isOver
    ? `From about ${dayWords(begun.wall)} to ${dayWords((since.at(-1) as Session).wall)} the machine gave`
    : `Since about ${dayWords(begun.wall)} the machine gives`;
  const parts = [
    `${when} ${comparedWords(figures, whenWords(before, since))}${isOver ? "; now it is back near that" : ""}.`,
    upkeepNear(upkeep, last.wall, begun.wall),
    "What is seen is the speed at one power: whether it is the tube, the optics, the focus or the coolant cannot be told by this alone.",
    coolantWords(
      before.map(({ runs }) => runs),
      since.map(({ runs }) => runs),
    ),
  ];
  const lots = lotWords(
    before.flatMap(({ runs }) => runs),
    since.flatMap(({ runs }) => runs),
  );
  return {
    ...{
      verdict: "drifting",
      sentence: parts.filter((part) => part !== "").join(" "),
      ...figures,
      since: from,
    },
    // Where the same values chose the change, how rare they are without one says nothing.
    p: null,
    warnings: [
      ...warnings,
      ...cautions,
      ...(lots === null ? [] : [lots]),
      "When it changed was chosen by these same sessions: the change may have come some sessions earlier or later, and its size looks somewhat larger than it is.",
    ],
  };
}

/** Of the later sessions to the earlier ones; where either have no spread of their own, by that of the baseline. */
function ratioOf(
  before: readonly Session[],
  since: readonly Session[],
  { baseline, sigma }: DriftCharts,
): { readonly figures: Figures; readonly cautions: readonly string[] } {
  const logs = (sessions: readonly Session[]) => sessions.map(({ logSpeed }) => logSpeed);
  const own = meanDifference(logs(before), logs(since));
  const { p } = own;
  // There are sessions on either side: the baseline makes sure of it.
  const estimate = own.estimate as number;
  const isOwn = own.lower !== null && own.upper !== null;
  const reach =
    studentQuantile(0.975, baseline - 1) * sigma * Math.sqrt(1 / before.length + 1 / since.length);
  const [lower, upper] = isOwn
    ? [own.lower as number, own.upper as number]
    : [estimate - reach, estimate + reach];
  return {
    figures: { estimate: Math.exp(estimate), lower: Math.exp(lower), upper: Math.exp(upper), p },
    cautions: isOwn ? own.warnings : ["The limits are by the spread of the first sessions alone."],
  };
}

function pointOf({ wall, logSpeed }: Session, i: number, charts: DriftCharts | null): DriftPoint {
  const point = charts === null ? undefined : charts.points[i - charts.baseline];
  const speed = (value: number | undefined) => (value === undefined ? null : Math.exp(value));
  return {
    ...{ wall, speed_mm_s: Math.exp(logSpeed) },
    ...{ mean: speed(point?.mean), lower: speed(point?.lower), upper: speed(point?.upper) },
    signals: point?.signals ?? false,
  };
}

/** Sessions after the baseline that lie beyond where a single one of the level would, though they have no speed of their own. */
function againstChart(
  bounds: readonly BoundSession[],
  { baseline, level, sigma }: DriftCharts,
  told: readonly Session[],
): string[] {
  const after = bounds.filter(({ wall }) => wall > (told[baseline - 1] as Session).wall);
  const off = ({ speed_mm_s }: BoundSession) => Math.log(speed_mm_s) - level;
  const below = after.filter((bound) => !bound.through && off(bound) < -SINGLE * sigma);
  const above = after.filter((bound) => bound.through && off(bound) > SINGLE * sigma);
  return [
    ...(below.length === 0
      ? []
      : [
          `In ${counted(below.length, "session")} nothing was through, not even at speeds well below the level: that is a loss that the charts do not count. Cut it slower to see how much.`,
        ]),
    ...(above.length === 0
      ? []
      : [
          `In ${counted(above.length, "session")} everything was through, at speeds well above the level too: that is a gain that the charts do not count. Cut it faster to see how much.`,
        ]),
  ];
}

/** Standard deviations within which all but 3 sessions in 1000 lie where nothing has changed (of a normal distribution). */
const SINGLE = 3;
const LONG = 12;
/** In the logarithm: from here on a loss of 8 % is mostly found only after a dozen sessions and more. */
const COARSE = 0.04;

function levelWarnings({ baseline, sigma }: DriftCharts): string[] {
  return [
    ...(baseline < LONG
      ? [
          `The level is of ${baseline} sessions: the limits are wider for that, and a small change is found late.`,
        ]
      : []),
    ...(sigma > COARSE
      ? [
          `From session to session the speed goes up and down by some ${perCent(Math.expm1(sigma))}: where each speed is cut two or three times in a session, a change is found sooner.`,
        ]
      : []),
  ];
}
