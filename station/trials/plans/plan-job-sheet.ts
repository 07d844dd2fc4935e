import type { RunSettings } from "../../model/run.js";
import type { TrialNow } from "../../model/specimen.js";

/** The longest names that a run's settings take. */
const LOT_MOST = 40;
const MATERIAL_MOST = 80;

/**
 * What a plan asks the next run to take: its specimen's settings, lot and code, and nothing that was entered for something else. Null
 * where the next run is of none of its specimens: nothing is left to cut, or checks or an answer come first. Then what a person
 * entered counts again.
 */
export function planJobSheet(now: TrialNow): RunSettings | null {
  const specimen = nextOf(now);
  if (specimen === null) return null;
  const { code, lotName, setting } = specimen;
  const [lot, material] = [lotName.slice(0, LOT_MOST), lotName.slice(0, MATERIAL_MOST)];
  return { material, lot, specimen: code, ...setting };
}

/**
 * The specimen that the next run is of; null for none. Not one whose outcome is only to be told, unless the beam's line began its
 * run, and may begin another of the same piece.
 */
function nextOf({ need, specimen, last }: TrialNow): TrialNow["specimen"] {
  if (need.need === "cut" || need.need === "done") return specimen;
  const beam = need.need === "outcome" && last?.code === need.code && last.runs.at(-1)?.cause === "laser-on";
  return beam ? specimen : null;
}
