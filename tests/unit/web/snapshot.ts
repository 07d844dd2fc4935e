import type { NowSnapshot } from "../../../station/model/now.js";

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
    extraction: { state: "unknown", text: "" },
    readiness: { fitness: "cannot-tell", minutes: null, horizonMin: 60, sentence: "", checks: [] },
    channels: [],
    conditions: [],
    sources: [],
    run: null,
    jobSheet: {},
    trial: null,
    optics: { cleanedWall: null, agoMs: null },
    runOpenMs: null,
    alarms: [],
    annunciation: { sound: null, outputPin: "not-fitted" },
    cautions: [],
    checklists: [],
    journal: { writing: true, held: false, waiting: 0, text: "" },
    ...changes,
  };
}
