import type { AlarmDefinition } from "../model/alarm.js";
import { bytesText } from "../model/disk.js";
import { isBeyond } from "./compare.js";
import type { Observation } from "./machine.js";
import type { StationPicture } from "./picture.js";

type Sighting = Omit<Observation, "holdMs">;

/** Readings are held, but only while the journal is written at all: else that says it, with the higher consequence. */
export function readingsHeld({ journal }: StationPicture): Sighting {
  return {
    presence: journal.held && journal.writing ? "present" : "absent",
    value: null,
    detail: journal.text,
  };
}

export function diskSlow({ journal }: StationPicture): Sighting {
  return { presence: journal.slow ? "present" : "absent", value: null, detail: journal.text };
}

/** By the room that is left, in MB. */
export function diskNearlyFull(definition: AlarmDefinition, picture: StationPicture): Sighting {
  const { freeBytes, text } = picture.disk;
  if (freeBytes === null || definition.setpoint === null) {
    return { presence: "unknown", value: null, detail: text };
  }
  const value = freeBytes / 1e6;
  const beyond = isBeyond("low", value, definition.setpoint);
  const than = beyond ? `, less than ${bytesText(definition.setpoint * 1e6)}` : "";
  return { presence: beyond ? "present" : "absent", value, detail: withoutStop(text) + than };
}

/** By the room, and by the days for which it lasts. */
export function diskFilling(definition: AlarmDefinition, picture: StationPicture): Sighting {
  const sighting = diskNearlyFull(definition, picture);
  if (sighting.presence !== "absent" || !picture.disk.fewDays) return sighting;
  return { ...sighting, presence: "present" };
}

function withoutStop(text: string): string {
  return text.replace(/\.$/, "");
}
