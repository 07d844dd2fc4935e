import { CHANNEL_KINDS, type ChannelKind } from "../../model/quantity.js";
import type { AlarmDefault } from "../default.js";

const EXTRACTION = (Object.keys(CHANNEL_KINDS) as ChannelKind[]).filter((kind) =>
  kind.startsWith("extraction-"),
);

/** Of the extraction. */
export const EXTRACTION_ALARMS = {
  "extraction-stopped": {
    group: "extraction",
    needs: [EXTRACTION],
    side: null,
    setpointRange: null,
    deadbandMost: null,
    suppressedWhile: [],
    title: "Extraction has stopped",
    priority: "urgent",
    setpoint: null,
    deadband: null,
    unit: null,
    onDelayS: 2,
    offDelayS: 15,
    latching: false,
    cause:
      "The fan has tripped or lost its power, a duct has come off or is blocked, a damper is shut, or the filter is full.",
    consequence: "Fume and smoke stay in the machine and come out into the room you breathe in.",
    action:
      "Stop the cut at the machine. Leave the lid closed, find out why no air moves (fan, duct, damper, filter), and go on only once it runs.",
    respondWithinS: 30,
    reason:
      "Two seconds pass over a gap between two readings of the fan; the room fills with fume within the next half minute.",
  },
  "extraction-not-running": {
    group: "extraction",
    needs: [EXTRACTION],
    side: null,
    setpointRange: null,
    deadbandMost: null,
    suppressedWhile: [],
    title: "Extraction is not running",
    priority: "high",
    setpoint: null,
    deadband: null,
    unit: null,
    onDelayS: 0,
    offDelayS: 0,
    latching: false,
    cause: "The fan was not switched on before the run, or does not start.",
    consequence: "A run has started and nothing is carrying its fume away.",
    action:
      "Switch the extraction on before the beam. If the machine is cutting already, pause it there first.",
    respondWithinS: 60,
    reason: "No delay: whoever has just pressed Start stands at the machine and can still switch it on.",
  },
} as const satisfies Readonly<Record<string, AlarmDefault>>;
