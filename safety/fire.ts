import type { Caution } from "../station/model/caution.js";
import { SOURCES as S } from "./sources.js";

/** That corrugated card feeds itself air, and that scraps belong in a lidded metal bin, is common practice without a source. */
export const FIRE = {
  "fire-attend": {
    id: "fire-attend",
    topic: "fire",
    seriousness: 1,
    headline: "Stay with the laser while it cuts",
    text: "Never leave it, not even for a minute: a flare-up can become a fire before you are back. If a flame stays after the beam has moved on, stop the job at the machine. If it is not out at once, get out and call the fire service.",
    sources: [S.artsLondon, S.iowaState, S.wisconsin],
  },
  "fire-ready": {
    id: "fire-ready",
    topic: "fire",
    seriousness: 2,
    headline: "Have the extinguisher within reach",
    text: "A carbon dioxide extinguisher leaves no powder in the machine; ask your fire service what suits your shop, and learn to use it before you need it. In a small room carbon dioxide drives the air out: use it on your way out, not instead of going.",
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
    text: "Cut edges and offcuts of board, wood and card can go on smouldering unseen and flare up later. Look at the bed and the tray, stay near for a while, and put scraps in a metal bin with a lid, outside if you can.",
    sources: [S.maryland, S.nfpa51b],
  },
  "fire-card": {
    id: "fire-card",
    topic: "fire",
    seriousness: 2,
    headline: "Card and paper catch fire easily",
    text: "Corrugated card draws air through its channels. Watch every second of the cut, and stop it as soon as a flame stays.",
    sources: [S.wisconsin, S.artsLondon],
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
