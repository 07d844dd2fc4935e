import type { SoundnessView } from "../model/soundness.js";
import type { Observation } from "./machine.js";
import type { StationPicture } from "./picture.js";

/** By the last look through the journal that was finished; before the first there is nothing to say. */
export function journalFound(
  state: Extract<SoundnessView["state"], "damaged" | "rollups">,
  { soundness }: StationPicture,
): Omit<Observation, "holdMs"> {
  const known = soundness.state !== "looking" && soundness.state !== "unknown";
  const presence = !known ? "unknown" : soundness.state === state ? "present" : "absent";
  return { presence, value: null, detail: soundness.text.replace(/\.$/, "") };
}
