import type { ConditionsView, LotConditions } from "../../model/decision.js";
import type { SpecimenView } from "../../model/specimen.js";
import { counted as countedWords } from "../../review/counted.js";
import type { Counting } from "../plans/counting.js";
import { isFlagged } from "./difference.js";
import { fromTo, shown } from "./shown.js";

const DAY_MS = 86_400_000;
/** Means of the coolant that are further apart than this are said (common practice, no source). */
const COOLANT_APART = 0.5;

/**
 * Under which conditions the lots were cut.
 * @param all every specimen of the plan
 * @param counting which of them count
 * @param opticsHours hours of beam since the optics were cleaned, at runs all over the plan
 */
export function conditionsOf(
  lots: readonly { readonly id: string; readonly name: string }[],
  all: readonly SpecimenView[],
  counting: Counting,
  opticsHours: readonly number[],
): ConditionsView {
  const cut = counting.counted;
  const runs = cut.flatMap((specimen) => specimen.runs);
  const coolant = runs.flatMap(({ coolantMean }) => (coolantMean === null ? [] : [coolantMean]));
  const starts = runs.map(({ startWall }) => startWall);
  const firstWall = least(starts);
  const lastWall = most(starts);
  const perLot = lots.map((lot) => lotConditions(lot, all, counting));
  const view = {
    coolant: rangeOf(coolant),
    firstWall,
    lastWall,
    days: firstWall === null || lastWall === null ? 0 : (lastWall - firstWall) / DAY_MS,
    opticsHours: rangeOf(opticsHours),
    lots: perLot,
  };
  return { ...view, sentences: sentencesOf(view, counting) };
}

function lotConditions(
  { id, name }: { id: string; name: string },
  all: readonly SpecimenView[],
  { counted }: Counting,
): LotConditions {
  const its = all.filter(({ lot }) => lot === id);
  const cut = counted.filter(({ lot }) => lot === id);
  const means = cut.flatMap(({ runs }) =>
    runs.flatMap(({ coolantMean }) => (coolantMean === null ? [] : [coolantMean])),
  );
  return {
    ...{ lot: id, name, cut: cut.length, flagged: cut.filter(isFlagged).length },
    spoilt: its.filter(({ state }) => state === "spoilt").length,
    coolantMean: means.length === 0 ? null : means.reduce((sum, mean) => sum + mean, 0) / means.length,
  };
}

function sentencesOf(
  { coolant, lots, opticsHours }: Omit<ConditionsView, "sentences">,
  { counted, replaced, otherwise }: Counting,
): string[] {
  const said: string[] = [];
  if (coolant === null) said.push("The coolant was not measured in any run.");
  else said.push(`Coolant ${fromTo(coolant, "°C")}, of the means of the runs.`);
  const means = lots.flatMap(({ coolantMean, name }) =>
    coolantMean === null ? [] : [{ name, coolantMean }],
  );
  means.sort((a, b) => a.coolantMean - b.coolantMean);
  const [coolest, warmest] = [means[0], means.at(-1)];
  if (coolest !== undefined && warmest !== undefined) {
    const apart = warmest.coolantMean - coolest.coolantMean;
    if (apart > COOLANT_APART)
      said.push(
        `${warmest.name} was cut with coolant ${shown(apart)} °C warmer in the mean than ${coolest.name}: a difference between them may be the coolant's.`,
      );
  }
  const flagged = lots.reduce((sum, lot) => sum + lot.flagged, 0);
  if (flagged > 0) said.push(flaggedSentence(lots, flagged));
  const spoilt = lots.reduce((sum, lot) => sum + lot.spoilt, 0);
  if (spoilt > 0)
    said.push(`Left out as spoilt: ${lots.map(({ name, spoilt }) => `${spoilt} of ${name}`).join(", ")}.`);
  const left = (its: readonly SpecimenView[], why: string) => {
    if (its.length === 0) return;
    const told = lots.map(({ lot, name }) => `${its.filter((each) => each.lot === lot).length} of ${name}`);
    said.push(`Left out, ${why}: ${told.join(", ")}.`);
  };
  left(replaced, "for another was cut in its place");
  left(otherwise, "for it was cut with something other than planned that the plan keeps alike");
  const atAnother = counted.filter(({ runs }) => runs.some((run) => run.otherwise.length > 0)).length;
  if (atAnother > 0)
    said.push(
      `${countedWords(atAnother, "specimen")} ${atAnother === 1 ? "was" : "were"} cut at another setting than planned, and ${atAnother === 1 ? "counts" : "count"} at that one: see the plan's page.`,
    );
  if (opticsHours !== null)
    said.push(`Mirrors and lens had ${fromTo(opticsHours, "hours")} of beam since they were cleaned.`);
  return said;
}

function flaggedSentence(lots: readonly LotConditions[], flagged: number): string {
  const told = lots.map(({ name, flagged, cut }) => `${flagged} of ${cut} of ${name}`).join(", ");
  const shares = lots.filter(({ cut }) => cut > 0).map((lot) => ({ ...lot, share: lot.flagged / lot.cut }));
  shares.sort((a, b) => b.share - a.share);
  const [worst, least] = [shares[0], shares.at(-1)];
  const uneven = worst !== undefined && least !== undefined && worst.share > least.share;
  const fall = uneven ? ` They fall on ${worst.name} more than on ${least.name}.` : "";
  return `${flagged === 1 ? "One specimen was" : `${flagged} specimens were`} cut in a run that was flagged (${told}), and kept.${fall}`;
}

function rangeOf(values: readonly number[]): { least: number; most: number } | null {
  const [low, high] = [least(values), most(values)];
  return low === null || high === null ? null : { least: low, most: high };
}

function least(values: readonly number[]): number | null {
  return values.reduce<number | null>((low, value) => (low === null || value < low ? value : low), null);
}

function most(values: readonly number[]): number | null {
  return values.reduce<number | null>((high, value) => (high === null || value > high ? value : high), null);
}
