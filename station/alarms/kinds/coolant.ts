import type { AlarmDefault } from "../default.js";

/** Condensation margin (coolant minus dew point) below which the alarm is present; °C. This station's choice, no source. */
export const CONDENSATION_SETPOINT = 2;

/** Of the coolant, and of what it may wet. */
export const COOLANT_ALARMS = {
  "coolant-high": {
    group: "coolant",
    needs: [["coolant-inlet"]],
    side: "high",
    setpointRange: [-40, 100],
    deadbandMost: 50,
    suppressedWhile: ["machine-off"],
    title: "Coolant is too warm",
    priority: "high",
    setpoint: null,
    deadband: 0.2,
    unit: "°C",
    onDelayS: 5,
    offDelayS: 10,
    latching: false,
    cause:
      "The chiller is off, set too high or cannot keep up, its fan or filter is dusty, the water is low, or the room is hot.",
    consequence:
      "The tube gives less power and wears faster. A run cut outside the coolant range is flagged.",
    action:
      "Pause the job at the machine and let the coolant come down before you go on. Look at the chiller, its fan and the water level.",
    respondWithinS: 300,
    reason:
      "The upper end of the coolant range that the tube's maker gives; five seconds pass over one odd reading of the probe. Where it comes twice within ten minutes, as with a chiller that switches on and off, it is held until it has been away for ten.",
  },
  "coolant-low": {
    group: "coolant",
    needs: [["coolant-inlet"]],
    side: "low",
    setpointRange: [-40, 100],
    deadbandMost: 50,
    suppressedWhile: ["machine-off"],
    title: "Coolant is too cold",
    priority: "high",
    setpoint: null,
    deadband: 0.2,
    unit: "°C",
    onDelayS: 5,
    offDelayS: 10,
    latching: false,
    cause: "The chiller is set too low, or the water stood in a cold shed overnight.",
    consequence: "Cold water brings condensation nearer. A run cut outside the coolant range is flagged.",
    action: "Let the coolant warm up before the next cut, and look at the chiller's setting.",
    respondWithinS: 600,
    reason:
      "The lower end of the coolant range that the tube's maker gives; five seconds pass over one odd reading of the probe. Where it comes twice within ten minutes, as with a chiller that switches on and off, it is held until it has been away for ten.",
  },
  "coolant-flow-lost": {
    group: "coolant",
    needs: [["coolant-flow", "coolant-flowing"]],
    side: "low",
    setpointRange: [0, 200],
    deadbandMost: 50,
    suppressedWhile: ["machine-off"],
    title: "Coolant flow is lost",
    priority: "urgent",
    setpoint: null,
    deadband: 0.2,
    unit: "L/min",
    onDelayS: 2,
    offDelayS: 15,
    latching: false,
    cause:
      "The pump has stopped, a hose is kinked or has come off, there is air in the loop, or the water is low.",
    consequence: "A tube that fires without flowing water can overheat and crack within moments.",
    action:
      "Stop the cut at the machine. Look at the pump, at kinked hoses, at air in the loop and at the water level.",
    respondWithinS: 10,
    reason:
      "The least flow that the tube's maker asks for, or standstill. Two seconds pass over a bubble; the tube does not forgive many more.",
  },
  "condensation-risk": {
    group: "condensation",
    needs: [["coolant-inlet"], ["room-temperature"], ["room-humidity"]],
    side: "low",
    setpointRange: [-40, 100],
    deadbandMost: 50,
    suppressedWhile: [],
    title: "Condensation risk",
    priority: "high",
    setpoint: CONDENSATION_SETPOINT,
    deadband: 0.5,
    unit: "°C",
    onDelayS: 30,
    offDelayS: 30,
    latching: true,
    cause: "The room has become warm and damp, or the coolant is too cold for it.",
    consequence: "Water can form on the tube, its high-voltage end and the optics.",
    action:
      "Stop cutting. Raise the coolant temperature or dry the room, and let everything dry before the next cut.",
    respondWithinS: 300,
    reason:
      "Two degrees cover what the probes and the humidity sensor may be out by. It latches, because what has become wet stays wet after the air has changed. For the same reason, and because a chiller that switches on and off takes the margin across the limit every few minutes, it is held until the margin has been wide enough for ten.",
  },
} as const satisfies Readonly<Record<string, AlarmDefault>>;
