import { expect } from "vitest";
import { CHECKS, HARBOUR, LOTS, QUAYSIDE, SPEEDS, WORKSHOP } from "./whole-facts.js";
import type { Stored } from "./whole-rig.js";
import type { Cut, Diary } from "./whole-screens.js";

/** Compares each line of the journal with what was done at the screens: nothing more, nothing less, and in that order. */
export function checkRecord(stored: Stored, diary: Diary): void {
  const { lots, plan, seed, labels, again, spoilt, flagged } = diary;
  expect(stored.lots).toEqual(
    LOTS.map(({ facts }, i) => ({ number: i + 1, id: lots[i], facts: { ...facts } })),
  );
  expect(stored.changes).toEqual([{ subject: "workshop", new: WORKSHOP, by: "desk" }]);
  expect(stored.plans).toEqual([
    {
      ...{ number: 1, id: plan },
      facts: {
        ...{ title: "Which board", lots, power_pct: 60, passes: 1, spacers_mm: [7, 7.25] },
        layout: { method: "ladder", vary: "speed", rungs: SPEEDS, replicates: 2 },
        ...{ properties: ["through", "back_fuzz", "finishing_min"], blind: true, second_share: 0.25 },
        ...{ checks: CHECKS, seed: seed },
      },
    },
  ]);

  const cutOf = (code: string) => diary.cuts.find((cut) => cut.code === code) as Cut;
  const settingOf = (code: string) => {
    const { speed, power, spacer } = cutOf(code);
    return { speed_mm_s: speed, power_pct: power, passes: 1, focus_spacer_mm: spacer };
  };
  const lotOf = (code: string) => lots[cutOf(code).lot === QUAYSIDE ? 0 : 1];
  const lines = [
    ...labels.map(({ code, block, place }) => ({ code, block, place, replaces: null as string | null })),
    ...[spoilt, flagged].map((code, i) => ({
      ...{ code: again.get(code) as string, block: i + 1, place: 7, replaces: code },
    })),
  ];
  expect(stored.specimens).toEqual(
    lines.map((line) => ({ ...line, plan, lot: lotOf(line.code), setting: settingOf(line.code) })),
  );
  // What was cut again is of the lot and the setting of the one in whose place it was; and each block has each lot at each speed.
  for (const [old, made] of again)
    expect({ ...cutOf(made), code: "" }).toEqual({ ...cutOf(old), code: "", coolant: cutOf(made).coolant });
  for (const block of [1, 2]) {
    const had = labels.filter((label) => label.block === block).map(({ code }) => cutOf(code));
    expect(had.map(({ lot, speed }) => `${lot} ${speed}`).sort()).toEqual(
      [QUAYSIDE, HARBOUR].flatMap((lot) => SPEEDS.map((speed) => `${lot} ${speed}`)),
    );
  }

  expect(stored.runs).toHaveLength(14);
  for (const [i, run] of stored.runs.entries()) {
    const { code, lot, cause, coolant } = diary.cuts[i] as Cut;
    expect(run).toMatchObject({ number: i + 1, specimen: code, cause, endCause: cause });
    expect(run.settings).toEqual({ ...settingOf(code), specimen: code, lot, material: lot });
    const water = run.stamp?.channels["coolant-in"];
    expect([water?.known, water?.mean?.toFixed(6)]).toEqual([true, coolant.toFixed(6)]);
    const flags = run.stamp?.flags.map(({ flag, excursion }) => [flag, excursion]);
    expect(flags, code).toEqual(code === flagged ? [["coolant-out-of-range", 0.5]] : []);
  }

  expect(stored.entries.map(({ enteredWall: _wall, ...line }) => line)).toEqual(
    diary.entries.map(({ entered: _entered, ...line }) => line),
  );
  for (const [i, { enteredWall }] of stored.entries.entries()) {
    const range = diary.entries[i]?.entered ?? null;
    if (range === null) expect(enteredWall, `${i}`).toBeNull();
    else
      expect(enteredWall !== null && enteredWall >= range[0] && enteredWall <= range[1], `${i}`).toBe(true);
  }
}
