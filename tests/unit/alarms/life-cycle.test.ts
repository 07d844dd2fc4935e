import { describe, expect, it } from "vitest";
import { isSuppressed, isThere, step } from "../../../station/alarms/machine.js";
import { ALARM_STATES } from "../../../station/model/alarm.js";
import { alarm, EVENTS, type Event, LETTERS, type Letter, letterOf, standingIn } from "./life-cycle.js";

/**
 * The alarm state transitions of ISA-18.2 / IEC 62682 with their letters A to I, and the words of the journal for each.
 * From memory of the figure and its table; no copy was at hand. "-" is no change of state. Where the standard leaves a
 * choice (what suppression by design does to an alarm that waits for a person, whether a latch must be acknowledged before
 * it is reset) it is this station's, and marked *.
 *
 * "E|D": E for an alarm that latches, D for one that does not.
 */
const TABLE: Readonly<Record<Event, Readonly<Record<Letter, string>>>> = {
  "condition comes": { A: "B", B: "-", C: "-", D: "B", E: "B", F: "B", G: "-", H: "-", I: "-" },
  "condition goes": { A: "-", B: "E|D", C: "F|A", D: "-", E: "-", F: "-", G: "-", H: "-", I: "-" },
  "sensor is lost": { A: "-", B: "-", C: "-", D: "-", E: "-", F: "-", G: "-", H: "-", I: "-" },
  acknowledge: { A: "-", B: "C", C: "-", D: "A", E: "F", F: "-", G: "-", H: "-", I: "-" },
  /* E: to be acknowledged first * */
  reset: { A: "-", B: "-", C: "-", D: "-", E: "-", F: "A", G: "-", H: "-", I: "-" },
  shelve: { A: "G", B: "G", C: "G", D: "G", E: "G", F: "G", G: "-", H: "G", I: "-" },
  unshelve: { A: "-", B: "-", C: "-", D: "-", E: "-", F: "-", G: "A", H: "-", I: "-" },
  "shelf is over": { A: "-", B: "-", C: "-", D: "-", E: "-", F: "-", G: "A", H: "-", I: "-" },
  /* B, D, E, F: nothing that waits for a person goes from the list unseen; C: nor a latch * */
  "design suppresses": { A: "H", B: "-", C: "-|H", D: "-", E: "-", F: "-", G: "-", H: "-", I: "-" },
  "design lets go": { A: "-", B: "-", C: "-", D: "-", E: "-", F: "-", G: "-", H: "A", I: "-" },
  "out of service": { A: "I", B: "I", C: "I", D: "I", E: "I", F: "I", G: "I", H: "I", I: "-" },
  "in service": { A: "-", B: "-", C: "-", D: "-", E: "-", F: "-", G: "-", H: "-", I: "A" },
  "stands too long": { A: "-", B: "-", C: "B", D: "-", E: "-", F: "-", G: "-", H: "-", I: "-" },
};

const WORDS: Readonly<Record<string, string>> = {
  "A B": "raised",
  "D B": "raised",
  "E B": "raised",
  "F B": "raised",
  "C B": "re-alarmed",
  "B C": "acknowledged",
  "D A": "acknowledged",
  "E F": "acknowledged",
  "B D": "returned",
  "C A": "returned-to-normal",
  "B E": "latched",
  "C F": "latched",
  "F A": "reset",
  "G A": "unshelved",
  "H A": "unsuppressed",
  "I A": "in-service",
  "A H": "suppressed",
  "C H": "suppressed",
};
const wordOf = (from: Letter, to: Letter) =>
  to === "G" ? "shelved" : to === "I" ? "out-of-service" : WORDS[`${from} ${to}`];

const letters = Object.keys(LETTERS) as Letter[];
const events = Object.keys(EVENTS) as Event[];
const every = letters.flatMap((letter) =>
  events.flatMap((event) =>
    [false, true].flatMap((latching) =>
      (isSuppressed(LETTERS[letter]) ? [false, true] : [false]).map(
        (there) => [letter, event, latching, there] as const,
      ),
    ),
  ),
);

describe("the states of an alarm", () => {
  it("are all of those of the standard, each under a letter", () => {
    expect(letters.map((letter) => LETTERS[letter])).toEqual([...ALARM_STATES]);
    expect(every.length).toBe(letters.length * events.length * 2 + 3 * events.length * 2);
  });

  it.each(every)("%s on %s (latching %s, condition beneath %s)", (letter, event, latching, there) => {
    const memory = standingIn(letter, there);
    const { memory: after, transition } = EVENTS[event](memory, latching);
    const cell = TABLE[event][letter].split("|");
    const expected = (latching ? cell[0] : cell.at(-1)) as Letter | "-";
    if (expected === "-") {
      expect(transition).toBeNull();
      expect(after.state).toBe(memory.state);
      return;
    }
    expect(letterOf(after.state)).toBe(expected);
    expect(transition).toMatchObject({
      transition: wordOf(letter, expected),
      from: memory.state,
      to: after.state,
    });
  });

  it("reach every state from normal, and normal from every state", () => {
    const reach = (start: Letter, edges: (from: Letter) => readonly Letter[]) => {
      const seen = new Set<Letter>([start]);
      for (const from of seen) for (const to of edges(from)) seen.add(to);
      return seen.size;
    };
    const edges = (from: Letter) =>
      events.flatMap((event) => TABLE[event][from].split("|")).filter((to): to is Letter => to !== "-");
    expect(reach("A", edges)).toBe(letters.length);
    expect(reach("A", (to) => letters.filter((from) => edges(from).includes(to)))).toBe(letters.length);
  });
});

describe("what is beneath a suppressed alarm", () => {
  const SUPPRESSED = ["G", "H", "I"] as const;
  const LETS_GO = { G: "unshelve", H: "design lets go", I: "in service" } as const;

  it.each(SUPPRESSED)(
    "%s: is raised at once when it is let go, and nothing is where nothing is there",
    (letter) => {
      for (const there of [true, false]) {
        const { memory } = EVENTS[LETS_GO[letter]](standingIn(letter, there), false);
        const next = step(
          memory,
          alarm(false),
          { presence: "unknown", value: null, holdMs: 0, detail: "" },
          { mono: 1_000_000, wall: 0 },
        );
        expect(next.memory.state).toBe(there ? "unacknowledged" : "normal");
      }
    },
  );

  it.each(SUPPRESSED)("%s: follows the condition all the while", (letter) => {
    const came = EVENTS["condition comes"](standingIn(letter, false), false).memory;
    expect([came.state, isThere(came)]).toEqual([LETTERS[letter], true]);
    const went = EVENTS["condition goes"](standingIn(letter, true), false).memory;
    expect([went.state, isThere(went)]).toEqual([LETTERS[letter], false]);
  });

  it.each(["B", "C"] as const)("%s: an alarm that is there when it is shelved is there beneath", (letter) => {
    expect(isThere(EVENTS.shelve(standingIn(letter, true), false).memory)).toBe(true);
    expect(isThere(EVENTS["out of service"](standingIn(letter, true), false).memory)).toBe(true);
  });
});
