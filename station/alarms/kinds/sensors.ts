import type { AlarmDefault } from "../default.js";

/** Of what the station watches with: one for each board and each channel. */
export const SENSORS_ALARMS = {
  "board-silent": {
    group: "sensors",
    needs: [],
    side: null,
    setpointRange: null,
    deadbandMost: null,
    suppressedWhile: [],
    title: "Board does not answer",
    priority: "medium",
    setpoint: null,
    deadband: null,
    unit: null,
    onDelayS: 3,
    offDelayS: 3,
    latching: false,
    cause: "Its cable is loose, it has no power, or its program has stopped.",
    consequence: "Nothing that is wired to this board is watched, and no switch on it does anything.",
    action:
      "Push its cable home at both ends and look to its power. If that does not help, unplug it for ten seconds.",
    respondWithinS: 600,
    reason: "Three seconds are more than a board needs to answer again by itself.",
  },
  "sensor-dead": {
    group: "sensors",
    needs: [],
    side: null,
    setpointRange: null,
    deadbandMost: null,
    suppressedWhile: ["board-silent"],
    title: "Sensor fault",
    priority: "medium",
    setpoint: null,
    deadband: null,
    unit: null,
    onDelayS: 3,
    offDelayS: 3,
    latching: false,
    cause: "A loose plug, a broken wire, water in the plug, or a sensor at the end of its life.",
    consequence: "What depends on this sensor is not watched, or only now and then.",
    action:
      "Push the plug home at both ends, then look along the wire for a break. If the sensor stays dead, try another one in its place.",
    respondWithinS: 600,
    reason:
      "The sensor's own stale time has gone by before; three seconds more pass over a reading that comes late.",
  },
} as const satisfies Readonly<Record<string, AlarmDefault>>;
