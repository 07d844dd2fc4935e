import type { Caution } from "../station/model/caution.js";
import { SOURCES as S } from "./sources.js";

/** Extraction: whether the fume is carried away. What a material itself gives off is in materials-fume.ts. */
export const FUME = {
  "fume-extraction-stopped": {
    id: "fume-extraction-stopped",
    topic: "fume",
    seriousness: 1,
    headline: "Do not cut without extraction",
    text: "Stop the job at the machine. Leave the lid closed, leave the room if there is smoke in it, and find out why no air moves: fan, duct, damper or filter.",
    sources: [S.wisconsin, S.massachusetts, S.hsg258],
  },
  "fume-extraction-unseen": {
    id: "fume-extraction-unseen",
    topic: "fume",
    seriousness: 2,
    headline: "Look whether the extraction runs",
    text: "The station cannot tell at the moment. Feel the air at the outlet or watch a strip of tissue at the inlet; if no air moves, do not cut.",
    sources: [S.wisconsin, S.hsg258],
  },
  "fume-extraction-first": {
    id: "fume-extraction-first",
    topic: "fume",
    seriousness: 2,
    headline: "Extraction on before the beam",
    text: "The extraction is not running. Start it, let it come up to speed, and let it run on after the cut.",
    sources: [S.virginia, S.wisconsin, S.hsg258],
  },
  "fume-run-on": {
    id: "fume-run-on",
    topic: "fume",
    seriousness: 2,
    headline: "Let the fume clear before you open the lid",
    text: "Leave the lid closed and the extraction running until no smoke is left inside.",
    sources: [S.virginia, S.hsg258, S.artsLondon],
  },
  "fume-lid-early": {
    id: "fume-lid-early",
    topic: "fume",
    seriousness: 2,
    headline: "Close the lid: the fume is not out yet",
    text: "The cut ended a moment ago, and what it left in the machine comes into the room. Close the lid, stand back, and let the extraction run until no smoke is left.",
    sources: [S.virginia, S.artsLondon, S.hsg258],
  },
  "fume-stopped-early": {
    id: "fume-stopped-early",
    topic: "fume",
    seriousness: 2,
    headline: "Switch the extraction on again",
    text: "It stopped just after the cut, with the fume still inside. Leave the lid closed and let it run until no smoke is left.",
    sources: [S.virginia, S.hsg258],
  },
  "fume-outdoors": {
    id: "fume-outdoors",
    topic: "fume",
    seriousness: 3,
    headline: "Blow the fume outdoors, not back into the room",
    text: "A filter box takes out what its maker says, for as long as its filters last, and no more. Return air to the room only through filters meant for this fume, kept as their maker says; where the air goes outdoors, keep it clear of windows and neighbours.",
    sources: [S.massachusetts, S.wisconsin, S.hsg258],
  },
} as const satisfies Record<string, Caution>;
