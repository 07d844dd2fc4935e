import type { TrendWord } from "../model/now.js";
import type { CoolantRange, CoolantTrend } from "./coolant-trend.js";

/** The trend in words: "rising 0.2 °C/min: leaves the range in about 8 min". */
export function trendText(trend: CoolantTrend, range: CoolantRange): string {
  const { word, slopePerMin, cycle, place } = trend;
  if (slopePerMin === null) return "too few readings yet to tell a trend";
  const where = place === "inside" ? "" : `${place} the range of ${range.low} to ${range.high} °C, `;
  if (word === "unknown") return `${where}unsettled: no trend can be told yet`;
  return `${where}${motionText(word, slopePerMin, cycle)}${leavingText(trend)}`;
}

function motionText(word: TrendWord, slopePerMin: number, cycle: CoolantTrend["cycle"]): string {
  if (word === "steady") return "steady";
  if (word === "cycling" && cycle !== null) {
    return `cycling with the chiller, ${cycle.low.toFixed(1)} to ${cycle.high.toFixed(1)} °C`;
  }
  const slope = Math.abs(slopePerMin);
  return `${word} ${slope.toFixed(slope < 0.095 ? 2 : 1)} °C/min`;
}

function leavingText({ word, place, minutesInRange, horizonMin }: CoolantTrend): string {
  if (place !== "inside" || minutesInRange === null) return "";
  if (minutesInRange >= horizonMin) {
    return word === "rising" || word === "falling"
      ? `: stays in the range for more than ${horizonMin} min`
      : "";
  }
  if (minutesInRange < 1) return ": leaves the range within a minute";
  return `: leaves the range in about ${Math.floor(minutesInRange)} min`;
}
