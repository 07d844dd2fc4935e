/** What a channel measures, and in which unit. Unit names are those of SenML (RFC 8428 §12.1, RFC 8798) where it has one. */

export const UNITS = {
  Cel: { label: "°C", name: "degrees Celsius" },
  "%RH": { label: "% RH", name: "per cent relative humidity" },
  "m/s": { label: "m/s", name: "metres per second" },
  Pa: { label: "Pa", name: "pascals" },
  "1/min": { label: "1/min", name: "revolutions per minute" },
  "l/min": { label: "L/min", name: "litres per minute" },
  "g/m3": { label: "g/m³", name: "grams per cubic metre" },
  "Cel/min": { label: "°C/min", name: "degrees Celsius per minute" },
  min: { label: "min", name: "minutes" },
  "%MC": { label: "% MC", name: "per cent moisture content" },
  state: { label: "", name: "on or off" },
} as const;

export type Unit = keyof typeof UNITS;

/** An analogue kind is a number in its unit; a state kind is 1 (on, open, flowing) or 0. */
export const CHANNEL_KINDS = {
  "coolant-inlet": { label: "Coolant in", unit: "Cel", form: "analogue" },
  "coolant-outlet": { label: "Coolant out", unit: "Cel", form: "analogue" },
  "coolant-flow": { label: "Coolant flow", unit: "l/min", form: "analogue" },
  "coolant-flowing": { label: "Coolant flow switch", unit: "state", form: "state" },
  "room-temperature": { label: "Room temperature", unit: "Cel", form: "analogue" },
  "room-humidity": { label: "Room humidity", unit: "%RH", form: "analogue" },
  "extraction-airflow": { label: "Extraction air speed", unit: "m/s", form: "analogue" },
  "extraction-pressure": { label: "Extraction pressure", unit: "Pa", form: "analogue" },
  "filter-pressure": { label: "Drop over the filter", unit: "Pa", form: "analogue" },
  "extraction-speed": { label: "Extraction fan", unit: "1/min", form: "analogue" },
  "extraction-running": { label: "Extraction running", unit: "state", form: "state" },
  "machine-on": { label: "Machine on", unit: "state", form: "state" },
  "laser-on": { label: "Laser on", unit: "state", form: "state" },
  "lid-open": { label: "Lid open", unit: "state", form: "state" },
  "foot-switch": { label: "Foot switch", unit: "state", form: "state" },
} as const satisfies Record<string, { label: string; unit: Unit; form: "analogue" | "state" }>;

export type ChannelKind = keyof typeof CHANNEL_KINDS;

/** What the station works out from the channels. */
export const CONDITIONS = {
  "dew-point": { label: "Dew point", unit: "Cel" },
  "condensation-margin": { label: "Condensation margin", unit: "Cel" },
  "absolute-humidity": { label: "Absolute humidity", unit: "g/m3" },
  "wood-moisture": { label: "Wood equilibrium moisture", unit: "%MC" },
  "coolant-slope": { label: "Coolant trend", unit: "Cel/min" },
  "coolant-time-in-range": { label: "Coolant time left in range (60 at most)", unit: "min" },
} as const satisfies Record<string, { label: string; unit: Unit }>;

export type ConditionId = keyof typeof CONDITIONS;
