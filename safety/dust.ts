import type { Caution } from "../station/model/caution.js";
import { SOURCES as S } from "./sources.js";

/** That a fine dust of acrylic or wood in the air can flash at a flame is common knowledge of the trade, no source. */
export const DUST = {
  "dust-cleaning": {
    id: "dust-cleaning",
    topic: "dust",
    seriousness: 3,
    headline: "Take dust up, do not blow it about",
    text: "Soot and dust on the bed, on cut edges and on what you sand off them get into the lungs, and wood dust causes cancer in people (IARC group 1). Use a vacuum cleaner meant for wood dust or a damp cloth, no brush and no compressed air. Let nothing hot be sucked in: an ember burns on in the bag.",
    sources: [S.wis23, S.woodDustIarc],
  },
} as const satisfies Record<string, Caution>;
