import { DEMO_CONFIG } from "../../station/sources/bench-simulator/channels.js";

/**
 * The simulated bench, on which nothing is cut by itself: that of the demo begins a run of its own forty seconds after its start,
 * which on a busy machine is in the midst of a test that counts runs.
 */
export const QUIET_BENCH = {
  ...DEMO_CONFIG,
  sources: DEMO_CONFIG.sources.map((source) => ({ ...source, cutting: "never" as const, faults: [] })),
};
