import type { Annunciation } from "../model/now.js";
import type { AlarmDesk } from "./desk.js";

/**
 * The output that drives a lamp or sounder. `set` only asks: it may take effect later, throw, or turn the state to
 * "faulty", so it is never assumed to have worked.
 */
export interface OutputPin {
  set(active: boolean): void;
  state(): "active" | "inactive" | "faulty";
}

/**
 * What each pin was last asked for. Its state alone will not do: while a request to go active is still on its way the pin
 * reads inactive, and an alarm acknowledged in that moment would leave the lamp on.
 */
const asked = new WeakMap<OutputPin, boolean>();

/**
 * Brings the output pin to what the desk wants and says what is being annunciated. A pin already asked for it is left
 * alone, so this may be called as often as one likes; one that failed is asked again at each call. Never throws: a broken
 * lamp must not stop the alarms on the screen.
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
    const before = pin.state();
    const last = asked.get(pin) ?? before === "active";
    if (before === "faulty" || last !== active) {
      asked.delete(pin);
      pin.set(active);
      asked.set(pin, active);
    }
    return pin.state();
  } catch {
    return "faulty";
  }
}
