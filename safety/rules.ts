import type { Caution } from "../station/model/caution.js";
import { CAUTIONS, type CautionId } from "./cautions.js";
import { type MaterialFamily, type MaterialReading, readMaterial } from "./materials.js";

/** What the cautions are chosen by. */
export interface Situation {
  /** As typed on the job sheet. */
  readonly material: string | undefined;
  readonly runOpen: boolean;
  readonly laserOn: boolean;
  readonly extraction: "running" | "stopped" | "unknown";
  readonly coolant: "in-range" | "out-of-range" | "unknown";
  readonly condensationRisk: boolean;
  /** Null where no sensor tells. */
  readonly lidOpen: boolean | null;
  /** Hours ≥ 0 since somebody marked the optics as cleaned; null if never. */
  readonly opticsCleanedHoursAgo: number | null;
  /** Seconds ≥ 0 since the last run ended; null while one is open or where there was none. */
  readonly secondsSinceRunEnd: number | null;
}

interface Facts extends Situation {
  readonly cutting: boolean;
  readonly made: MaterialReading;
}

export interface CautionRule {
  readonly id: string;
  readonly caution: CautionId;
  readonly applies: (facts: Facts) => boolean;
}

/** At most so many at once: a wall of cautions is read by nobody. */
export const MOST_CAUTIONS = 3;

/** An hour, as NFPA 51B (2019 edition, from memory) asks of a fire watch after hot work. */
const SMOULDERING_S = 60 * 60;
/** Intervals of this station's choosing (common practice, no source). */
const CLEARING_S = 120;
const SOLVENT_H = 0.5;
const WET_H = 10 / 60;
const OPTICS_LOOK_H = 7 * 24;

const isMade =
  (...families: readonly MaterialFamily[]) =>
  ({ made }: Facts) =>
    families.some((family) => made.families.has(family));
const endedWithin = (facts: Facts, seconds: number) =>
  !facts.cutting && facts.secondsSinceRunEnd !== null && facts.secondsSinceRunEnd < seconds;

const rule = (id: string, caution: CautionId, applies: CautionRule["applies"]): CautionRule => ({
  id,
  caution,
  applies,
});

/**
 * Where two cautions are equally serious, the rule that stands earlier wins. The last two see to it that there is always
 * something to show: one holds while cutting and one while not.
 */
export const CAUTION_RULES: readonly CautionRule[] = [
  rule("lid-open-laser-on", "laser-lid-open", (f) => f.lidOpen === true && f.laserOn),
  rule("material-chlorinated", "fume-chlorinated", isMade("chlorinated")),
  rule("material-fluorinated", "fume-fluorinated", isMade("fluorinated")),
  rule(
    "cutting-without-extraction",
    "fume-extraction-stopped",
    (f) => f.cutting && f.extraction === "stopped",
  ),
  rule("material-cyanide-plastics", "fume-cyanide-plastics", isMade("cyanide-plastics")),
  rule("material-composites", "fume-composites", isMade("composites")),
  rule("material-treated-timber", "fume-treated-timber", isMade("treated-timber")),
  rule("material-melting-plastics", "fire-melting-plastics", isMade("melting-plastics")),
  rule(
    "cutting-after-solvent",
    "fire-solvent",
    (f) => f.cutting && f.opticsCleanedHoursAgo !== null && f.opticsCleanedHoursAgo < WET_H,
  ),
  rule("condensation", "coolant-condensation", (f) => f.condensationRisk),
  rule("cutting", "fire-attend", (f) => f.cutting),

  rule("material-unverified", "fume-unverified", (f) => f.made.denied || f.made.families.has("may-be-pvc")),
  rule("extraction-unseen", "fume-extraction-unseen", (f) => f.cutting && f.extraction === "unknown"),
  rule("coolant-out-of-range", "coolant-range", (f) => f.coolant === "out-of-range"),
  rule("coolant-unseen", "coolant-unseen", (f) => f.cutting && f.coolant === "unknown"),
  rule("lid-opened-early", "fume-lid-early", (f) => f.lidOpen === true && endedWithin(f, CLEARING_S)),
  rule(
    "extraction-stopped-early",
    "fume-stopped-early",
    (f) => f.extraction === "stopped" && endedWithin(f, CLEARING_S),
  ),
  rule("fume-clearing", "fume-run-on", (f) => endedWithin(f, CLEARING_S)),
  rule(
    "smouldering",
    "fire-smoulder",
    (f) => endedWithin(f, SMOULDERING_S) && (!f.made.named || isMade("board", "wood", "card")(f)),
  ),
  rule(
    "optics-just-cleaned",
    "optics-solvent",
    (f) => f.opticsCleanedHoursAgo !== null && f.opticsCleanedHoursAgo < SOLVENT_H,
  ),
  rule("material-leather", "fume-leather", isMade("leather")),
  rule("material-board", "fume-board", isMade("board")),
  rule("material-acrylic", "fume-acrylic", isMade("acrylic")),
  rule("material-card", "fire-card", isMade("card")),
  rule("lid-open", "laser-interlock", (f) => f.lidOpen === true && !f.laserOn),
  rule("lid-open-supply", "electrical-supply", (f) => f.lidOpen === true && !f.cutting),
  rule("water-near-supply", "electrical-supply", (f) => f.condensationRisk),
  rule("idle-without-extraction", "fume-extraction-first", (f) => !f.cutting && f.extraction === "stopped"),
  rule("extinguisher", "fire-ready", (f) => f.cutting),

  rule("material-wood", "fume-wood", isMade("wood")),
  rule("material-unknown", "fume-unknown", (f) => f.made.families.size === 0 && (f.made.named || f.runOpen)),
  rule(
    "optics-long-ago",
    "optics-look",
    (f) => f.opticsCleanedHoursAgo !== null && f.opticsCleanedHoursAgo >= OPTICS_LOOK_H,
  ),
  rule("outdoors", "fume-outdoors", (f) => f.cutting),
  rule("dust", "dust-cleaning", (f) => !f.cutting && isMade("board", "wood", "acrylic")(f)),
  rule("housekeeping", "fire-housekeeping", (f) => !f.cutting),
];

/** At most three cautions for the situation, the most serious first, each once; never none. */
export function chooseCautions(situation: Situation): Caution[] {
  const facts: Facts = {
    ...situation,
    cutting: situation.runOpen || situation.laserOn,
    made: readMaterial(situation.material),
  };
  const ids = new Set(CAUTION_RULES.filter(({ applies }) => applies(facts)).map(({ caution }) => caution));
  return [...ids]
    .map((id) => CAUTIONS[id])
    .sort((a, b) => a.seriousness - b.seriousness)
    .slice(0, MOST_CAUTIONS);
}

/** Nothing happens: what is left are the rules that go by what the material is. */
const AT_REST: Omit<Situation, "material"> = {
  runOpen: false,
  laserOn: false,
  extraction: "running",
  coolant: "in-range",
  condensationRisk: false,
  lidOpen: null,
  opticsCleanedHoursAgo: null,
  secondsSinceRunEnd: null,
};

/** Every caution that a material has by itself, the most serious first: those of seriousness 1 are never to be cut. */
export function materialCautions(material: string): Caution[] {
  const facts: Facts = { ...AT_REST, material, cutting: false, made: readMaterial(material) };
  const ids = CAUTION_RULES.filter(({ id, applies }) => id.startsWith("material-") && applies(facts));
  return [...new Set(ids.map(({ caution }) => caution))]
    .map((id) => CAUTIONS[id])
    .sort((a, b) => a.seriousness - b.seriousness);
}
