import type { Caution } from "../station/model/caution.js";
import { SOURCES as S } from "./sources.js";

/** That a dirty lens heats up, and that a week is a good interval, is common practice without a source. */
export const OPTICS = {
  "optics-solvent": {
    id: "optics-solvent",
    topic: "optics",
    seriousness: 2,
    headline: "Let the cleaning alcohol evaporate first",
    text: "Isopropyl alcohol and its vapour catch fire easily. Clean cold optics with the machine off, close the bottle, take the wipes away, and let everything dry before the laser goes on.",
    sources: [S.isopropylNiosh, S.isopropylNewJersey],
  },
  "optics-look": {
    id: "optics-look",
    topic: "optics",
    seriousness: 3,
    headline: "Look at the lens and mirrors",
    text: "They have not been marked as cleaned for a week or more, and a dirty lens heats up. Look at them cold, with the machine off, and clean as its maker says. A lens may be of zinc selenide, which is poisonous: do not touch a broken or burnt one with bare hands, and do not breathe its dust.",
    sources: [S.seleniumNiosh, S.isopropylNiosh],
  },
} as const satisfies Record<string, Caution>;
