import type { CheckList, CheckListId } from "../station/model/caution.js";
import { SOURCES as S } from "./sources.js";

/**
 * Short enough to be gone through every day, and each thing is one that a person looks at. The machine maker's own list comes first; an
 * item without a source is common practice.
 */
export const CHECKLISTS: Readonly<Record<CheckListId, CheckList>> = {
  "before-first-cut": {
    id: "before-first-cut",
    title: "Before the first cut of the day",
    items: [
      {
        id: "covers",
        text: "Lid and covers are whole and close fully, and nothing bridges a switch of theirs.",
        sources: [S.pennsylvania, S.toronto],
      },
      {
        id: "extraction",
        text: "The extraction is on: a strip of tissue is drawn to the inlet.",
        sources: [S.wisconsin, S.hsg258],
      },
      {
        id: "water",
        text: "The water flows and its level is right; no drips, no puddle, no dew on the hoses.",
        sources: [],
      },
      {
        id: "bed",
        text: "Bed and tray are empty, and there are no rags, card or solvents by the machine.",
        sources: [S.wisconsin, S.maryland],
      },
      {
        id: "extinguisher",
        text: "The extinguisher is in its place and in date, and the way out is clear.",
        sources: [S.iowaState, S.nfpa10],
      },
      {
        id: "optics",
        text: "Lens and mirrors are clean and dry, looked at cold with the machine off.",
        sources: [],
      },
      {
        id: "stock",
        text: "You know what today's sheets are: you have their safety data sheets.",
        sources: [S.maryland, S.texas],
      },
    ],
  },
  "after-last-cut": {
    id: "after-last-cut",
    title: "After the last cut of the day",
    items: [
      {
        id: "embers",
        text: "Bed, tray and scrap bin: nothing glows, nothing smokes, nothing is warm.",
        sources: [S.fireWatchOsha, S.nfpa51b],
      },
      { id: "scraps", text: "Scraps are in the metal bin with its lid on, outside if you can.", sources: [] },
      {
        id: "dust",
        text: "Bed and tray are cleaned with a vacuum cleaner for wood dust, once all is cold.",
        sources: [S.wis23, S.wisconsin],
      },
      {
        id: "solvents",
        text: "Bottles of solvent are closed and put away, wipes are in a lidded bin.",
        sources: [S.isopropylNewJersey],
      },
      {
        id: "off",
        text: "The laser is off with its key out; the extraction ran on until no smoke was left.",
        sources: [S.virginia, S.artsLondon],
      },
      {
        id: "frost",
        text: "The water cannot freeze tonight: the room stays warm, or it is drained.",
        sources: [],
      },
    ],
  },
};
