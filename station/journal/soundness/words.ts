import type { SoundnessView } from "../../model/soundness.js";
import type { Looked } from "./look.js";

const RESTORE =
  "Stop the station and put back a backup (restore FILE), or run verify to read all that is damaged.";
const REPAIR = "Stop the station and repair them from the readings (verify --repair): no reading is lost.";

/**
 * @param looked what was found, after mending; null where nothing has been looked at
 * @param made indexes that were made anew
 * @param wall when the look was over
 * @param failed why there was no look; none where it is under way
 */
export function soundnessOf(
  looked: Looked | null,
  made: readonly string[],
  wall: number | null,
  failed?: string,
): SoundnessView {
  if (looked === null) {
    const text =
      failed === undefined
        ? "The journal is being looked through since the start. Until that is done, what is shown of earlier days may not be right."
        : `The journal could not be looked through: ${withoutStop(failed)}. Whether it is sound is not known.`;
    return { state: failed === undefined ? "looking" : "unknown", lookedWall: null, text, doubt: text };
  }
  const damage = [...looked.damage, ...looked.indexes.map((name) => `the index ${name} is not sound`)];
  if (damage.length > 0) {
    const text = `The journal is damaged: ${few(damage)}. ${RESTORE}`;
    return { state: "damaged", lookedWall: wall, text, doubt: text };
  }
  if (looked.rollups.length > 0) {
    const text = `What charts are drawn from is not right: ${few(looked.rollups)}. ${REPAIR}`;
    return { state: "rollups", lookedWall: wall, text, doubt: text };
  }
  const mended =
    made.length === 0
      ? ""
      : ` ${made.length === 1 ? "An index" : `${made.length} indexes`} had lost entries and ${made.length === 1 ? "was" : "were"} made anew from the records (${made.join(", ")}). Nothing was lost.`;
  return {
    state: "sound",
    lookedWall: wall,
    text: `The journal was looked through and is sound.${mended}`,
    doubt: null,
  };
}

function few(words: readonly string[]): string {
  const [first = ""] = words;
  const more = words.length === 1 ? "" : ` (and ${words.length - 1} more)`;
  return `${withoutStop(first.trim())}${more}`;
}

function withoutStop(words: string): string {
  return words.replace(/\.$/, "");
}
