import { CHANNEL_KINDS, type ChannelKind, type Unit } from "../../../station/model/quantity.js";
import type {
  DiffLines,
  FoundThing,
  SeenValue,
  TouchMove,
  TouchVerdict,
} from "../../../station/model/setup.js";
import { decimalsOf, NO_VALUE, numberText, stateWord, withUnit } from "../words/number.js";

const KINDS = Object.keys(CHANNEL_KINDS) as readonly ChannelKind[];

/** What a point in this unit can be; a line may have a fan's pulses on it as well as a contact. */
export function kindsFor(unit: Unit, sort: FoundThing["sort"]): readonly ChannelKind[] {
  const fitting = KINDS.filter((kind) => CHANNEL_KINDS[kind].unit === unit);
  return sort === "line" ? [...fitting, "extraction-speed"] : fitting;
}

/** Asked while somebody looks at the thing, to know which level means on. */
const IS_IT: Partial<Record<ChannelKind, string>> = {
  "coolant-flowing": "Does the coolant flow right now?",
  "extraction-running": "Does the extraction run right now?",
  "machine-on": "Is the machine on right now?",
  "laser-on": "Is the laser on right now?",
  "lid-open": "Is the lid open right now?",
  "foot-switch": "Is the foot switch pressed right now?",
};

export function isItQuestion(kind: ChannelKind): string {
  return IS_IT[kind] ?? "Is it on right now?";
}

/** A value as it is read; of a contact without a role its level. @param kind its role; null without one */
export function valueText(seen: SeenValue | undefined, kind: ChannelKind | null): string {
  if (seen === undefined || seen.value === null || seen.unit === null) return NO_VALUE;
  if (seen.unit !== "state") return withUnit(seen.value, decimalsOf(seen.unit), seen.unit);
  if (kind !== null && CHANNEL_KINDS[kind].form === "state") return stateWord(kind, seen.value);
  return seen.value === 1 ? "high" : "low";
}

const POINT_WORDS: Readonly<Record<string, string>> = {
  temperature: "Temperature",
  humidity: "Humidity",
  pressure: "Pressure",
  fan: "Fan",
  state: "Contact",
};

export function pointWords(point: string): string {
  return POINT_WORDS[point] ?? point;
}

export const TOUCH_HINTS =
  "Hold one probe in your closed hand, breathe on a humidity sensor, press one switch, or open the lid.";

function moveText({ by, unit }: TouchMove): string {
  if (unit === "state") return "switched";
  const risen = numberText(by, unit === "Cel" ? 1 : decimalsOf(unit));
  return `rose by ${withUnit(by, unit === "Cel" ? 1 : decimalsOf(unit), unit) || risen}`;
}

/** What came of asking which one it is. @param titleOf a thing by its key */
export function touchText({ state, moved }: TouchVerdict, titleOf: (key: string) => string): string {
  const named = moved.map((move) => `${titleOf(move.key)} ${moveText(move)}`);
  switch (state) {
    case "waiting":
      return named.length === 0
        ? `Waiting for one to move. ${TOUCH_HINTS}`
        : `${named.join("; ")}. Hold on a moment longer.`;
    case "one":
      return `This one: ${named[0]}. The others did not move.`;
    case "several":
      return `Several moved: ${named.join("; ")}. Keep them apart, wait until their values stand still, then ask again and touch one alone.`;
    case "none":
      return "None moved within 30 s. A probe in a thick sleeve takes long: ask again and hold it longer. If it is not in the list, check its plug and look again. A switch is seen only if its GPIO line is picked below.";
  }
}

export interface ShownLine {
  readonly sign: "+" | "−" | " " | "…";
  readonly text: string;
}

const AROUND = 2;

/** The difference as lines; what is the same is left out but for some lines around each change. */
export function shownLines(diff: readonly DiffLines[]): readonly ShownLine[] {
  return diff.flatMap(({ what, lines }, i): ShownLine[] => {
    if (what !== "same") return lines.map((text) => ({ sign: what === "added" ? "+" : "−", text }));
    const head = i === 0 ? 0 : AROUND;
    const tail = i === diff.length - 1 ? 0 : AROUND;
    const plain = (part: readonly string[]) => part.map((text): ShownLine => ({ sign: " ", text }));
    if (lines.length <= head + tail + 1) return plain(lines);
    return [
      ...plain(lines.slice(0, head)),
      { sign: "…", text: `${lines.length - head - tail} lines stay as they are` },
      ...plain(tail === 0 ? [] : lines.slice(-tail)),
    ];
  });
}
