import type { Annunciation } from "../model/now.js";
import type { AlarmDesk } from "./desk.js";

/** The output that drives a lamp or sounder. `set` may throw or turn the state to "faulty"; it is never assumed to have worked. */
export interface OutputPin {
  set(active: boolean): void;
  state(): "active" | "inactive" | "faulty";
}

/**
 * Brings the output pin to what the desk wants and says what is being annunciated. A pin already there is left alone, so
 * it may be called as often as one likes; a pin that could not be written is tried again at each call. Never throws: a
 * broken lamp must not stop the alarms on the screen.
 * @param pin null where no output is fitted
 */
export function annunciation(
  desk: Pick<AlarmDesk, "annunciation" | "pinWanted">,
  pin: OutputPin | null,
): Annunciation {
  return {
    sound: desk.annunciation(),
    outputPin: pin === null ? "not-fitted" : drive(pin, desk.pinWanted()),
  };
}

function drive(pin: OutputPin, active: boolean): "active" | "inactive" | "faulty" {
  try {
    if (pin.state() !== (active ? "active" : "inactive")) pin.set(active);
    return pin.state();
  } catch {
    return "faulty";
  }
}
