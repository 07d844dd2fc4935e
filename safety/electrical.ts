import type { Caution } from "../station/model/caution.js";
import { SOURCES as S } from "./sources.js";

export const ELECTRICAL = {
  "electrical-supply": {
    id: "electrical-supply",
    topic: "electrical",
    seriousness: 2,
    headline: "The tube's supply can kill, and stays charged",
    text: "It works at many thousand volts and can hold a charge after it is switched off. Leave tube, supply and wiring to licensed people, with the plug out. Water makes it worse: at a leak, switch off at the isolator if you can reach it dry, and leave it off.",
    sources: [S.oregonState, S.reed, S.hsg85, S.osha],
  },
} as const satisfies Record<string, Caution>;
