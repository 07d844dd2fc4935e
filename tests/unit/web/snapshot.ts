import type { NowSnapshot } from "../../../station/model/now.js";

const NOTHING_CUT: NowSnapshot["afterCut"] = {
  runOn: { state: "idle", leftS: 0, text: "", early: null },
  fireWatch: { state: "none", leftS: 0, lookInS: 0, looks: 0, material: "", text: "", offered: false },
};

/** A station that has just started: nothing read, nothing set. */
export function emptySnapshot(changes: Partial<NowSnapshot> = {}): NowSnapshot {
  return {
    start: "start-1",
    stationName: "Test shed",
    simulated: false,
    wall: 1_790_000_000_000,
    clock: "unknown",
    coolant: { channel: null, low: 16, high: 21, trend: "unknown", trendText: "" },
    coolantLine: [],
    outlook: { coolant: null, margin: null, heat: null },
    extraction: { state: "unknown", text: "" },
    afterCut: NOTHING_CUT,
    readiness: { fitness: "cannot-tell", minutes: null, horizonMin: 60, sentence: "", checks: [] },
    channels: [],
    conditions: [],
    sources: [],
    run: null,
    jobSheet: {},
    trial: null,
    optics: { cleanedWall: null, agoMs: null },
    filter: null,
    runOpenMs: null,
    alarms: [],
    annunciation: { sound: null, outputPin: "not-fitted" },
    cautions: [],
    checklists: [],
    journal: { writing: true, held: false, waiting: 0, text: "" },
    ...changes,
  };
}
