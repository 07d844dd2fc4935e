import type { ChannelKind, Unit } from "../../model/quantity.js";
import { CHANNEL_KINDS, UNITS } from "../../model/quantity.js";
import { type Quality, REASONS, type Reading, type Reason } from "../../model/reading.js";
import { QUALITY_CODES, REASON_CODES } from "../columns.js";
import { named, Refused } from "./refused.js";

/** The start of the station that a reading belongs to, as far as a file of readings says. */
export interface CarriedSession {
  readonly start: string;
  readonly bootId: string;
  readonly simulated: boolean;
}

/** What a channel was, as far as a file of readings says; null where the journal did not know. */
export interface CarriedChannel {
  readonly name: string;
  readonly kind: ChannelKind;
  readonly unit: Unit;
}

/** A reading with all that is needed to understand it by itself, and to keep it in another journal. */
export interface CarriedReading {
  readonly session: CarriedSession;
  readonly channel: CarriedChannel | null;
  readonly reading: Reading;
}

/** A `CarriedReading` with the line of the file that it came from. */
export interface ReadReading extends CarriedReading {
  readonly line: number;
}

export const kindOf = oneOfWords(Object.keys(CHANNEL_KINDS) as ChannelKind[], "the kind of a channel");
export const unitOf = oneOfWords(Object.keys(UNITS) as Unit[], "a unit of the station");
export const qualityOf = oneOfWords<Quality>(QUALITY_CODES, "good, uncertain or bad");
const reasonOf = oneOfWords<Reason>(REASON_CODES, "a reason of the station");

function oneOfWords<W extends string>(words: readonly W[], expected: string) {
  const known = new Map<string, W>(words.map((word) => [word, word]));
  return (line: number, text: string): W => {
    const found = known.get(text);
    if (found === undefined) throw new Refused(line, named(text), expected);
    return found;
  };
}

/**
 * The rules of a reading: no value exactly when it is bad, no reason exactly when it is good, and a reason of its quality.
 * @throws Refused
 */
export function judgedValue(
  line: number,
  value: number | null,
  qualityText: string,
  reasonText: string,
): Pick<Reading, "value" | "quality" | "reason"> {
  const quality = qualityOf(line, qualityText);
  const reason = reasonText === "" ? null : reasonOf(line, reasonText);
  if ((value === null) !== (quality === "bad")) {
    const found = value === null ? `no value, quality ${quality}` : `a value, quality ${quality}`;
    throw new Refused(line, found, "no value exactly where the quality is bad");
  }
  if (
    (reason === null) !== (quality === "good") ||
    (reason !== null && REASONS[reason].quality !== quality)
  ) {
    throw new Refused(
      line,
      `quality ${quality}, reason ${named(reasonText)}`,
      "a reason that goes with the quality",
    );
  }
  return { value, quality, reason };
}
