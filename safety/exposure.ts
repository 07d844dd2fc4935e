import type { ExposureLimit } from "../station/model/caution.js";
import { SOURCES as S } from "./sources.js";

const BOARD = "the glue of MDF, plywood and chipboard";
const ACRYLIC = "acrylic";
const CHLORINE = "PVC and other plastics with chlorine, which are never cut";
const CYANIDE = "ABS, nylon and polyurethane, which are never cut";
const SMOKE = "the smoke of wood, board and card";
const DUST = "sanding, cleaning, soot on the bed";
const SOLVENT = "cleaning the optics";

const BRITAIN = "Great Britain, HSE EH40/2005, 4th ed. 2020";
const EUROPE = "European Union, Directive 2019/983";
const OSHA = "United States, OSHA";
const NIOSH = "United States, NIOSH (advice)";

/**
 * Limits of what may be breathed at work, of several countries side by side: they differ, and they change. The station measures none of
 * them. Those of EH40 and of the directive are from memory.
 */
export const EXPOSURE_LIMITS: readonly ExposureLimit[] = [
  limit("Formaldehyde", BOARD, 2, "ppm", "8 hours", BRITAIN, "eh40"),
  limit("Formaldehyde", BOARD, 2, "ppm", "15 minutes", BRITAIN, "eh40"),
  limit("Formaldehyde", BOARD, 0.3, "ppm", "8 hours", EUROPE, "formaldehydeEu"),
  limit("Formaldehyde", BOARD, 0.6, "ppm", "15 minutes", EUROPE, "formaldehydeEu"),
  limit("Formaldehyde", BOARD, 0.75, "ppm", "8 hours", OSHA, "formaldehydeOsha"),
  limit("Formaldehyde", BOARD, 2, "ppm", "15 minutes", OSHA, "formaldehydeOsha"),
  limit("Methyl methacrylate", ACRYLIC, 50, "ppm", "8 hours", BRITAIN, "eh40"),
  limit("Methyl methacrylate", ACRYLIC, 100, "ppm", "15 minutes", BRITAIN, "eh40"),
  limit("Methyl methacrylate", ACRYLIC, 100, "ppm", "8 hours", OSHA, "methacrylateOsha"),
  limit("Carbon monoxide", SMOKE, 20, "ppm", "8 hours", BRITAIN, "eh40"),
  limit("Carbon monoxide", SMOKE, 100, "ppm", "15 minutes", BRITAIN, "eh40"),
  limit("Carbon monoxide", SMOKE, 35, "ppm", "8 hours", NIOSH, "carbonMonoxideNiosh"),
  limit("Carbon monoxide", SMOKE, 200, "ppm", "at no time above", NIOSH, "carbonMonoxideNiosh"),
  limit("Wood dust, hardwood or mixed", DUST, 3, "mg/m³", "8 hours", BRITAIN, "eh40"),
  limit("Wood dust, softwood", DUST, 5, "mg/m³", "8 hours", BRITAIN, "eh40"),
  limit("Isopropyl alcohol", SOLVENT, 400, "ppm", "8 hours", BRITAIN, "eh40"),
  limit("Isopropyl alcohol", SOLVENT, 500, "ppm", "15 minutes", BRITAIN, "eh40"),
  limit("Hydrogen chloride", CHLORINE, 1, "ppm", "8 hours", BRITAIN, "eh40"),
  limit("Hydrogen chloride", CHLORINE, 5, "ppm", "15 minutes", BRITAIN, "eh40"),
  limit("Hydrogen chloride", CHLORINE, 5, "ppm", "at no time above", OSHA, "hydrogenChlorideOsha"),
  limit("Hydrogen cyanide", CYANIDE, 0.9, "ppm", "8 hours", BRITAIN, "eh40"),
  limit("Hydrogen cyanide", CYANIDE, 4.5, "ppm", "15 minutes", BRITAIN, "eh40"),
  limit("Hydrogen cyanide", CYANIDE, 4.7, "ppm", "15 minutes", NIOSH, "hydrogenCyanideNrc"),
];

function limit(
  substance: string,
  comesFrom: string,
  value: number,
  unit: ExposureLimit["unit"],
  averaging: ExposureLimit["averaging"],
  whose: string,
  source: keyof typeof S,
): ExposureLimit {
  return { substance, comesFrom, value, unit, averaging, whose, source: S[source] };
}
