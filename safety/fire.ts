import type { Caution } from "../station/model/caution.js";
import { SOURCES as S } from "./sources.js";

/**
 * That the extraction is switched off in a fire is the procedure of Iowa State; that carbon dioxide does not cool, that the
 * way out is kept behind, and that scraps belong in a lidded metal bin, is common practice without a source. The times of
 * the fire watch were written for welding and thermal cutting: nobody publishes one for a small laser.
 */
export const FIRE = {
  "fire-attend": {
    id: "fire-attend",
    topic: "fire",
    seriousness: 1,
    headline: "Stay with the laser while it cuts",
    text: "Never leave it, not even for a minute: a flare-up can become a fire before you are back. If a flame stays after the beam has moved on, stop the job at the machine. If it is not out at once: emergency stop, extraction off because it feeds the flame, get out, call the fire service.",
    sources: [S.artsLondon, S.iowaState, S.wisconsin, S.virginia],
  },
  "fire-solvent": {
    id: "fire-solvent",
    topic: "fire",
    seriousness: 1,
    headline: "Stop: cleaning alcohol may still be wet",
    text: "The optics were marked as cleaned a few minutes ago. Isopropyl alcohol and its vapour catch fire easily, and the beam is a flame to them. Stop at the machine, let everything dry, and take bottle and wipes away.",
    sources: [S.isopropylNiosh, S.isopropylNewJersey],
  },
  "fire-ready": {
    id: "fire-ready",
    topic: "fire",
    seriousness: 2,
    headline: "Have an extinguisher at hand, on the way out",
    text: "Carbon dioxide leaves no powder in the machine, but it does not cool: wood and card can flare up again. Ask your fire service what suits your shop, and learn to use it before you need it. Only for a small fire, with the way out behind you. In a small room the gas drives out the air: one try, then go.",
    sources: [S.iowaState, S.nfpa10],
  },
  "fire-housekeeping": {
    id: "fire-housekeeping",
    topic: "fire",
    seriousness: 3,
    headline: "Clear the bed before the next job",
    text: "Offcuts, dust and tar under the bed feed a fire. Empty the tray, clean as the machine maker says, and keep solvents, card and rags away from the machine.",
    sources: [S.wisconsin, S.maryland],
  },
  "fire-smoulder": {
    id: "fire-smoulder",
    topic: "fire",
    seriousness: 2,
    headline: "Look again before you walk away",
    text: "Cut edges and offcuts of board, wood and card can go on smouldering unseen and flare up later. Look at the bed and the tray, and stay near for half an hour at least: American law asks for that after welding and thermal cutting, NFPA 51B (2019) for an hour. Scraps go in a metal bin with a lid, outside if you can.",
    sources: [S.fireWatchOsha, S.nfpa51b],
  },
  "fire-card": {
    id: "fire-card",
    topic: "fire",
    seriousness: 2,
    headline: "Card and paper catch fire easily",
    text: "Corrugated card draws air through its channels. Watch every second of the cut, and stop it as soon as a flame stays.",
    sources: [S.virginia, S.wisconsin],
  },
  "fire-melting-plastics": {
    id: "fire-melting-plastics",
    topic: "fire",
    seriousness: 1,
    headline: "Do not cut foam or plastics that melt and burn",
    text: "Polystyrene, polyethylene, polypropylene and PETG melt, drip and burn under the beam, and the drips carry the fire below the bed. Foams are the worst of them.",
    sources: [S.texas, S.carnegieMellon],
  },
} as const satisfies Record<string, Caution>;
