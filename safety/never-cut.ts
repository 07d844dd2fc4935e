import type { NeverCut } from "../station/model/caution.js";
import { FIRE } from "./fire.js";
import { MATERIALS_FUME as F } from "./materials-fume.js";
import { SOURCES as S } from "./sources.js";

/** What published guidance says is never to be cut, the worst first. Every row has its caution, which comes with the material's name. */
export const NEVER_CUT_LIST: readonly NeverCut[] = [
  {
    materials: "PVC, vinyl, and any other plastic with chlorine in it (neoprene, PVDC)",
    givesOff: "hydrogen chloride, which burns eyes and lungs and eats the machine",
    sources: F["fume-chlorinated"].sources,
  },
  {
    materials: "PTFE and any other plastic with fluorine in it (PVDF, FEP, PFA)",
    givesOff: "very poisonous gases that hold fluorine, such as carbonyl fluoride",
    sources: F["fume-fluorinated"].sources,
  },
  {
    materials: "ABS, nylon, polyurethane",
    givesOff: "hydrogen cyanide",
    sources: F["fume-cyanide-plastics"].sources,
  },
  {
    materials: "Polycarbonate",
    givesOff: "poisonous fume; it browns and burns rather than cuts",
    sources: F["fume-cyanide-plastics"].sources,
  },
  {
    materials: "Epoxy with glass or carbon fibre, circuit board",
    givesOff: "poisonous fume and fine fibres",
    sources: F["fume-composites"].sources,
  },
  {
    materials: "Timber treated with preservative",
    givesOff: "smoke and ash with copper, chromium and arsenic",
    sources: F["fume-treated-timber"].sources,
  },
  {
    materials: "Foams, polystyrene, polyethylene, polypropylene, PETG",
    givesOff: "burning drips and flames under the bed, with their smoke",
    sources: FIRE["fire-melting-plastics"].sources,
  },
  {
    materials: "Chrome-tanned leather, imitation leather of unknown make",
    givesOff: "possibly chromium VI; imitation leather is often PVC",
    sources: [...F["fume-leather"].sources, S.maryland],
  },
  {
    materials: "Anything without a name or a safety data sheet",
    givesOff: "nobody knows",
    sources: F["fume-unknown"].sources,
  },
];
