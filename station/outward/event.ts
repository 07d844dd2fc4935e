import type { Told } from "./told.js";

/** Number of the form in which programs are told; raised when a field goes or means something else. */
const FORM_VERSION = 1;

/** What programs are told, by MQTT and the webhook. The same at every try, to the byte. */
export function eventOf(told: Told) {
  const { id, what, station, simulated, alarm, kind, title, priority, transition, state, detail, by } = told;
  return {
    form: "workshop-station-event",
    version: FORM_VERSION,
    ...{ id, what, station, simulated },
    at: new Date(told.wall).toISOString(),
    clock: told.clock,
    ...{ alarm, kind, title, priority, transition, state, detail, by },
  };
}
export type OutwardEvent = ReturnType<typeof eventOf>;
