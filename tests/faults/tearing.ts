import { type Db, openForReading, openForWriting } from "../../station/journal/database.js";
import { createReads } from "../../station/journal/reads.js";
import { createWriter } from "../../station/journal/writer.js";
import { seeded } from "../unit/conditions/coolant-scenes.js";
import { foundIn, sessionStart } from "../unit/journal/samples.js";
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
  /** Some answers wrong, which is found by verify. */
  found: number;
  /** Of those the ones that a damaged file misled, and not files of two times. */
  misled: number;
  /** Answers that are not what was written, and that verify does not find either, in words. */
  readonly wrong: string[];
}

function freshFigures(): TearFigures {
  return { tears: 0, refused: 0, partly: 0, whole: 0, older: 0, found: 0, misled: 0, wrong: [] };
}

/** Damages copies of journals by lot, and asks everything of each. @returns by the kind of damage */
export function tearMany(tears: number, seed: number): Map<string, TearFigures> {
  const random = seeded(seed);
  const figures = new Map(DAMAGES.map(({ name }) => [name, freshFigures()]));
  for (let done = 0; done < tears; ) {
    const filled = fill(random, 12);
    for (let i = 0; i < TEARS_A_JOURNAL && done < tears; i++, done++) {
      const damage = DAMAGES[done % DAMAGES.length] as Damage;
      tear(filled, damage, random, figures.get(damage.name) as TearFigures);
    }
  }
  return figures;
}

function tear(filled: Filled, damage: Damage, random: () => number, figures: TearFigures): void {
  const at = Math.floor(random() * filled.copies.length);
  const copy = filled.copies[at] as Copy;
  const earlier = filled.copies[Math.floor(random() * (at + 1))] as Copy;
  const questions = questionsOf(filled, random);
  figures.tears++;
  inFolder(damage.do(copy, earlier, random), (folder) => {
    // As the station begins: the writing side first, which brings the WAL in.
    const opened = answered(() => openForWriting(folder, { busyTimeoutMs: 0 }));
    if ("refused" in opened) {
      figures.refused++;
      return;
    }
    const db = opened.answer as Db;
    const least = damage.whole ? copy.commits : 0;
    const states = filled.states.slice(least === 0 ? 0 : least - 1, copy.commits).reverse();
    try {
      const before = askAll(folder, questions, states, "before");
      // Sealing must not give a checksum to what is not as it was written.
      const sealed = answered(() => {
        const writer = createWriter(db, sessionStart({ start: "after", bootId: "after" }), () => 0);
        for (let steps = 0; steps < 5000 && writer.tidy(); steps++);
      });
      const after = askAll(folder, questions, states, "sealed");
      // SQLite cannot tell a WAL of another time, nor an index that has lost an entry, and neither can a question; verify must.
      if (before.wrong.length + after.wrong.length > 0 && seenByVerify(db)) {
        figures.found++;
        if (!damage.swapped) figures.misled++;
        return;
      }
      count(figures, [before, after], "refused" in sealed);
    } finally {
      db.close();
    }
  });
}

interface Asked {
  refused: number;
  older: number;
  readonly wrong: string[];
}

function seenByVerify(db: Db): boolean {
  const found = answered(() => [...(createReads(db).integrity(null) as string[]), ...foundIn(db)]);
  return "refused" in found || (found.answer as string[]).length > 0;
}

function count(figures: TearFigures, asked: readonly Asked[], unsealed: boolean): void {
  for (const { wrong } of asked) figures.wrong.push(...wrong);
  if (unsealed || asked.some(({ refused }) => refused > 0)) figures.partly++;
  else if (asked.some(({ older }) => older > 0)) figures.older++;
  else figures.whole++;
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
      if (place === -1) asked.wrong.push(`${name}, ${when}`);
      if (place > 0) asked.older++;
    }
  } finally {
    db.close();
  }
  return asked;
}
