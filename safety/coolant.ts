import type { Caution } from "../station/model/caution.js";
import { SOURCES as S } from "./sources.js";

/** No public document sets a range for a tube: ISO 12100 obliges its maker to state the limits of use, and those count. */
export const COOLANT = {
  "coolant-condensation": {
    id: "coolant-condensation",
    topic: "coolant",
    seriousness: 1,
    headline: "Do not cut while water can condense",
    text: "The coolant is close to the dew point of the room: water can form on the tube, its high-voltage end and the optics. Warm the coolant or dry the room, within what the tube maker allows, and let everything dry first.",
    sources: [S.wmo8, S.reed],
  },
  "coolant-range": {
    id: "coolant-range",
    topic: "coolant",
    seriousness: 2,
    headline: "Coolant is outside the range",
    text: "Keep to the range in the tube maker's manual; the station only knows the one you have set. A run cut now carries a flag.",
    sources: [S.iso12100],
  },
  "coolant-unseen": {
    id: "coolant-unseen",
    topic: "coolant",
    seriousness: 2,
    headline: "Look at the coolant yourself",
    text: "The station cannot see the coolant temperature at the moment. Go by the display of the chiller, see that the water flows, and do not fire a tube without flow.",
    sources: [S.iso12100],
  },
} as const satisfies Record<string, Caution>;
