/** What the station is and is not, in the words that the pages, the exports and the papers show. */
export interface Statement {
  /** One line, for the foot of a page. */
  readonly short: string;
  /** Paragraphs, for a page of its own. */
  readonly long: readonly string[];
}

export const STATEMENT: Statement = {
  short:
    "This station is an adviser, not a safety interlock: it never switches the laser, and it can be wrong. Follow the machine maker's manual and local codes.",
  long: [
    "This station is an adviser. It is not a safety interlock, a fire alarm or a gas detector, and nothing may be wired or arranged so that people depend on it for their safety.",
    "It never switches the laser on or off. Its output pin is for a lamp or a sounder. The machine's own interlocks, emergency stop and cooling protection must work without it.",
    "It can be wrong: a sensor can fail or sit in the wrong place, and a list of cautions cannot know your machine, your material or your shop. When it says nothing, that does not mean nothing is wrong.",
    "Follow the machine maker's manual, the tube maker's limits and the safety data sheet of the material. Follow the local codes for fire, electricity, ventilation and lasers; where they ask for more than this station says, they hold.",
    "Have licensed or competent people do what is theirs to do: mains and high-voltage wiring, beam alignment with covers off, ventilation and fire protection.",
    "The cautions carry their sources. Those marked as from memory were not checked against the document: look them up in the current edition before you rely on a number.",
    "The emergency numbers are yours to fill in, on paper beside the machine: fire service, ambulance, poison centre, the nearest person who can help, and the address to tell them.",
  ],
};
