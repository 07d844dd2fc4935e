import type { Caution } from "../station/model/caution.js";
import { SOURCES as S } from "./sources.js";

/**
 * What materials give off under the beam, the ones never to be cut first. Limits are named with country and edition.
 *
 * The regulation on leather limits chromium VI in what touches the skin; that burning may form it, and that opinions differ,
 * is from memory without a document. So is what WIS23 says about vacuum cleaners, beyond its first page.
 */
export const MATERIALS_FUME = {
  "fume-chlorinated": {
    id: "fume-chlorinated",
    topic: "fume",
    seriousness: 1,
    headline: "Never cut PVC, vinyl or any chlorinated plastic",
    text: "They give off hydrogen chloride: it burns eyes and lungs, and it eats the machine and its optics. No extraction makes up for it. If you are not sure what a plastic is, do not cut it.",
    sources: [S.texas, S.carnegieMellon, S.artsLondon, S.hydrogenChlorideNiosh],
  },
  "fume-fluorinated": {
    id: "fume-fluorinated",
    topic: "fume",
    seriousness: 1,
    headline: "Never cut PTFE or any fluorinated plastic",
    text: "Heated by the beam they give off very poisonous gases that hold fluorine, such as carbonyl fluoride. Extraction does not make up for it.",
    sources: [S.texas],
  },
  "fume-cyanide-plastics": {
    id: "fume-cyanide-plastics",
    topic: "fume",
    seriousness: 1,
    headline: "Do not cut ABS, nylon, polyurethane or polycarbonate",
    text: "ABS, nylon and polyurethane can give off hydrogen cyanide. Polycarbonate melts, browns and burns rather than cuts, and gives off poisonous fume as well.",
    sources: [S.texas],
  },
  "fume-composites": {
    id: "fume-composites",
    topic: "fume",
    seriousness: 1,
    headline: "Do not cut resin composites",
    text: "Epoxy with glass or carbon fibre, and circuit board, give off poisonous fume and leave fine fibres in the air, and they burn.",
    sources: [S.texas],
  },
  "fume-treated-timber": {
    id: "fume-treated-timber",
    topic: "fume",
    seriousness: 1,
    headline: "Do not cut preservative-treated timber",
    text: "The smoke and ash of timber treated with copper, chromium and arsenic are poisonous. Where you do not know the treatment, take it for that one.",
    sources: [S.treatedEpa],
  },
  "fume-leather": {
    id: "fume-leather",
    topic: "fume",
    seriousness: 2,
    headline: "Know how the leather was tanned",
    text: "Leave chrome-tanned leather alone: burning it may form chromium VI, and opinions differ on how much. Ask the tannery; if nobody knows, take it for chrome-tanned. Vegetable-tanned leather still needs good extraction.",
    sources: [S.chromiumEu],
  },
  "fume-board": {
    id: "fume-board",
    topic: "fume",
    seriousness: 2,
    headline: "MDF, plywood and chipboard give off formaldehyde",
    text: "The glue gives off formaldehyde, which causes cancer in people (IARC group 1), as wood dust does. British limit for formaldehyde: 2 ppm (EH40, 2020); look up your own, the EU's is 0.3 ppm (2019/983). Extraction on, lid closed until the smoke has gone; take the dust up with a vacuum cleaner for wood dust, not a brush.",
    sources: [S.formaldehydeIarc, S.woodDustIarc, S.eh40, S.formaldehydeEu, S.wis23],
  },
  "fume-acrylic": {
    id: "fume-acrylic",
    topic: "fume",
    seriousness: 2,
    headline: "Acrylic gives off methyl methacrylate, and burns",
    text: "The vapour irritates, can make you allergic to it, and burns; so does the sheet. Keep extraction and air assist on, and watch the flame: it should go out as the beam moves on.",
    sources: [S.methacrylateNiosh, S.eh40, S.virginia],
  },
  "fume-wood": {
    id: "fume-wood",
    topic: "fume",
    seriousness: 3,
    headline: "Wood smoke and wood dust harm the lungs",
    text: "Wood dust causes cancer in people (IARC group 1). British limit for hardwood dust: 3 mg/m³ over 8 hours (EH40, 2020); look up your own. Extraction on, and take the dust up with a vacuum cleaner for wood dust, not a brush.",
    sources: [S.woodDustIarc, S.eh40, S.wis23],
  },
  "fume-unverified": {
    id: "fume-unverified",
    topic: "fume",
    seriousness: 2,
    headline: "Check the data sheet of this material first",
    text: "From its name it may hold PVC or something else that is never cut, or only a label says that it does not. Read the safety data sheet; if there is none, do not cut it.",
    sources: [S.maryland, S.texas],
  },
  "fume-unknown": {
    id: "fume-unknown",
    topic: "fume",
    seriousness: 3,
    headline: "Know what you cut",
    text: "No material is entered, or it is not one the station knows. Read its safety data sheet, and what the machine maker says of it, before the first cut. Extraction does not make an unknown material a known one.",
    sources: [S.maryland, S.carnegieMellon],
  },
} as const satisfies Record<string, Caution>;
