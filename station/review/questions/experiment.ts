import type { ExperimentPlan, TogetherAnswer } from "../../model/review.js";
import { type Base, type JudgedRun, SPEED } from "./base.js";
import type { Concluded, Group } from "./condition-verdict.js";
import { begun, inSentence, listed, pWords } from "./figure-words.js";
import { fitted } from "./fitted.js";
import { newestOf } from "./half-cut.js";
import { piecesToTell } from "./next-cut.js";

/** As many blocks of one piece a plan can have. */
const MOST_BLOCKS = 20;
const MOST_TITLE = 80;
const LEVEL = 0.05;

/**
 * What moved together, and the experiment that would tell it apart: one of them changed from piece to piece, the others kept alike, or
 * all in one go where it moved with time or with upkeep.
 * @param names what people call them, by id
 */
export function togetherOf(
  base: Base,
  { ids, p, n }: Group,
  concluded: readonly Concluded[],
  names: (ids: readonly string[]) => string[],
): TogetherAnswer {
  const its = concluded.filter(({ effect }) => ids.includes(effect.id));
  const movable = its.map(({ effect }) => effect.id);
  const others = ids.filter((id) => id !== movable[0]);
  const first = inSentence(names(movable.slice(0, 1))[0] ?? "");
  const wanted = piecesToTell(its);
  const pieces = Math.min(MOST_BLOCKS, wanted);
  const isFar = its[0]?.about !== null && its[0] !== undefined;
  const [less, more] = isFar ? ["right", "off"] : ["low", "high"];
  const enough =
    wanted > pieces
      ? ` Some ${wanted} would mostly settle it: these are a beginning, and may be cut again.`
      : "";
  const held =
    movable.length > 1
      ? `with ${listed(names(movable.slice(1)).map(inSentence))} as alike as can be for all`
      : `in one go, so that ${listed(names(others).map(inSentence))} cannot differ`;
  const what =
    p !== null && p <= LEVEL
      ? `Together they have to do with what goes through (${pWords(p)}), and which of them does cannot be told from these runs.`
      : "What each of them does cannot be told from these runs.";
  return {
    conditions: ids,
    names: names(ids),
    sentence: `${begun(listed(names(ids).map(inSentence)))} moved together. ${what}`,
    experiment: `Cut ${pieces} pieces of one stock at a speed that goes through about every other time, half when ${first} is ${less} and half when it is ${more}, ${held}, now one and now the other.${enough}`,
    plan: planOf(base, pieces, { changed: [`${first} ${less}`, more], held, all: names(ids) }),
    ...{ p, n },
  };
}

/** The experiment as a plan of one piece a block, with the setting of the newest run. */
function planOf(
  base: Base,
  pieces: number,
  {
    changed: [less, more],
    held,
    all,
  }: { readonly changed: readonly [string, string]; readonly held: string; readonly all: readonly string[] },
): ExperimentPlan {
  const newest = base.runs.length === 0 ? null : newestOf(base.runs);
  // As low and high go low, high, high, low, what changes steadily from the first piece to the last falls on both alike.
  const blocks = Array.from({ length: pieces }, (_, i) => i + 1).filter((block) => block % 4 < 2);
  return {
    title: titleOf(all.map(inSentence)),
    speed_mm_s: newest === null ? null : halfSpeed(base, newest),
    power_pct: newest?.power_pct ?? null,
    passes: newest?.passes ?? null,
    pieces,
    note: begun(`${less} in blocks ${listed(blocks.map(String))}, ${more} in the others, ${held}.`),
  };
}

/** As many names as a title has room for. */
function titleOf(names: readonly string[]): string {
  const title = (some: readonly string[]) => `Which of them matters: ${listed(some)}?`;
  for (let n = names.length; n > 1; n--) {
    const some = n < names.length ? [...names.slice(0, n), "others"] : names;
    if (title(some).length <= MOST_TITLE) return title(some);
  }
  return "Which of the things that moved together matters?";
}

/** mm/s, to a tenth: where every other piece like one goes through; null where that cannot be told, or lies beyond the speeds that were cut. */
function halfSpeed(base: Base, run: JudgedRun): number | null {
  const fit = fitted(base, []);
  const row = fit?.runs.indexOf(run) ?? -1;
  if (fit === null || row < 0) return null;
  const slope = fit.coefficient(SPEED);
  if (!(slope < 0)) return null;
  const speed = run.speed_mm_s * Math.exp((fit.logits[row] as number) / -slope);
  const speeds = fit.runs.map(({ speed_mm_s }) => speed_mm_s);
  return speed >= Math.min(...speeds) && speed <= Math.max(...speeds) ? Math.round(speed * 10) / 10 : null;
}
