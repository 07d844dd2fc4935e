import { type Db, openForReading, openForWriting } from "../../station/journal/database.js";
import { type Looked, lookThrough } from "../../station/journal/soundness/look.js";
import { soundnessOf } from "../../station/journal/soundness/words.js";
import { createWriter, type Writer } from "../../station/journal/writer.js";
import type { SoundnessView } from "../../station/model/soundness.js";
import { seeded } from "../unit/conditions/coolant-scenes.js";
import { sessionStart } from "../unit/journal/samples.js";
import { answered, type Question, questionsOf } from "./asking.js";
import { DAMAGES, type Damage, inFolder } from "./damage.js";
import { type Copy, type Filled, fill, type State } from "./filled.js";

/** Journals made; each is torn many times over. */
const TEARS_A_JOURNAL = 120;

export interface TearFigures {
  tears: number;
  /** The journal was not opened, and said why. */
  refused: number;
  /** Opened, and some of the questions refused. */
  partly: number;
  /** All answered. */
  whole: number;
  /** All answered, as things were before the last commits. */
  older: number;
  /** The station's own look made an index anew, and found the journal sound then. */
  mended: number;
  /** Some answers were wrong before that, while the journal was said to be looked through still. */
  early: number;
  /** Some answers wrong, of a journal that the station's own look says is damaged. */
  found: number;
  /** Of those the ones that a damaged file misled, and not files of two times. */
  misled: number;
  /** Answers that are not what was written, and of which the station says nothing, in words. */
  readonly wrong: string[];
}

function freshFigures(): TearFigures {
  const none = { tears: 0, refused: 0, partly: 0, whole: 0, older: 0 };
  return { ...none, mended: 0, early: 0, found: 0, misled: 0, wrong: [] };
}

export interface Tears {
  readonly tears: number;
  readonly seed: number;
  /** The number of the first that is done: those before it are drawn and left alone. Default 0. */
  readonly from?: number;
}

/** Damages copies of journals by lot, and asks everything of each. @returns by the kind of damage */
export function tearMany({ tears, seed, from = 0 }: Tears): Map<string, TearFigures> {
  const random = seeded(seed);
  const figures = new Map(DAMAGES.map(({ name }) => [name, freshFigures()]));
  for (let done = 0; done < tears; ) {
    const filled = fill(random, 12);
    for (let i = 0; i < TEARS_A_JOURNAL && done < tears; i++, done++) {
      const damage = DAMAGES[done % DAMAGES.length] as Damage;
      const torn = tear(filled, damage, random);
      if (done >= from) torn(done, figures.get(damage.name) as TearFigures);
    }
  }
  return figures;
}

/** Draws a tear; what comes back does it. */
function tear(filled: Filled, damage: Damage, random: () => number) {
  const at = Math.floor(random() * filled.copies.length);
  const copy = filled.copies[at] as Copy;
  const earlier = filled.copies[Math.floor(random() * (at + 1))] as Copy;
  const questions = questionsOf(filled, random);
  const files = damage.do(copy, earlier, random);
  const least = damage.whole ? copy.commits : 0;
  const states = filled.states.slice(least === 0 ? 0 : least - 1, copy.commits).reverse();
  return (number: number, figures: TearFigures): void => {
    figures.tears++;
    inFolder(files, (folder) => {
      // As the station begins: the writing side first, which brings the WAL in.
      const opened = answered(() => openForWriting(folder, { busyTimeoutMs: 0 }));
      if ("refused" in opened) {
        figures.refused++;
        return;
      }
      const db = opened.answer as Db;
      try {
        const ask = (when: string) => askAll(folder, questions, states, `${number} ${when}`);
        count(figures, damage, live(folder, db, number % 2 === 0, ask));
      } finally {
        db.close();
      }
    });
  };
}

interface Lived {
  /** What was asked while the journal was being looked through, and what was asked afterwards. */
  readonly early: readonly Asked[];
  readonly late: readonly Asked[];
  readonly unsealed: boolean;
  /** Indexes made anew. */
  readonly made: readonly string[];
  /** What the station says of its journal once the look is over. */
  readonly said: SoundnessView["state"];
}

/** What a station does after its start: it seals, before its look through the journal is over or after, and mends. */
function live(folder: string, db: Db, sealsFirst: boolean, ask: (when: string) => Asked): Lived {
  const early = [ask("before")];
  const writing = answered(() =>
    createWriter(db, sessionStart({ start: "after", bootId: "after" }), () => 0),
  );
  // Then the station says that the journal is damaged, and looks no further.
  if ("refused" in writing) return { early, late: [], unsealed: true, made: [], said: "unknown" };
  const writer = writing.answer as Writer;
  let unsealed = false;
  // Sealing must not give a checksum to what is not as it was written.
  const seal = () => {
    const sealed = answered(() => {
      for (let steps = 0; steps < 5000 && writer.tidy(); steps++);
    });
    unsealed ||= "refused" in sealed;
  };
  if (sealsFirst) {
    seal();
    early.push(ask("sealed"));
  }
  let looked = look(folder);
  const made = looked.indexes.filter((name, i) => {
    const action = { name: "indexMade", params: name } as const;
    return writer.commit({ number: i + 1, readings: null, action }).refused === null;
  });
  if (made.length > 0) looked = look(folder);
  const late = [ask("looked through")];
  if (!sealsFirst) {
    seal();
    late.push(ask("looked through, then sealed"));
  }
  return { early, late, unsealed, made, said: soundnessOf(looked, made, 0).state };
}

function look(folder: string): Looked {
  const db = openForReading(folder);
  try {
    return lookThrough(db);
  } finally {
    db.close();
  }
}

function count(figures: TearFigures, damage: Damage, { early, late, unsealed, made, said }: Lived): void {
  const asked = [...early, ...late];
  const wrong = asked.flatMap((each) => each.wrong);
  // Of damage to rollups the station says that charts may be wrong, and nothing else.
  const told = wrong.filter(
    ({ name }) =>
      said === "damaged" || said === "unknown" || (said === "rollups" && name.startsWith("series")),
  );
  const mended = made.length > 0 && said === "sound";
  const before = mended ? early.flatMap((each) => each.wrong) : [];
  const silent = wrong.filter((each) => !told.includes(each) && !before.includes(each));
  for (const { name, when } of silent) figures.wrong.push(`${name}, ${when}`);
  if (mended) figures.mended++;
  if (silent.length > 0) return;
  if (before.length > 0) figures.early++;
  if (told.length > 0) {
    figures.found++;
    if (!damage.swapped) figures.misled++;
  } else if (unsealed || asked.some(({ refused }) => refused > 0)) figures.partly++;
  else if (asked.some(({ older }) => older > 0)) figures.older++;
  else figures.whole++;
}

interface Wrong {
  readonly name: string;
  readonly when: string;
}

interface Asked {
  refused: number;
  older: number;
  readonly wrong: Wrong[];
}

function askAll(
  folder: string,
  questions: readonly Question[],
  states: readonly State[],
  when: string,
): Asked {
  const asked: Asked = { refused: 0, older: 0, wrong: [] };
  const opened = answered(() => openForReading(folder));
  if ("refused" in opened) return { ...asked, refused: 1 };
  const db = opened.answer as Db;
  let place = 0;
  try {
    for (const { name, ask, fits } of questions) {
      const given = answered(() => ask(db));
      if ("refused" in given) {
        asked.refused++;
        continue;
      }
      // Most often all answers are of the same time.
      const likely = states[place];
      if (likely === undefined || !fits(given.answer, likely)) {
        place = states.findIndex((state) => fits(given.answer, state));
      }
      if (place === -1) asked.wrong.push({ name, when });
      if (place > 0) asked.older++;
    }
  } finally {
    db.close();
  }
  return asked;
}
