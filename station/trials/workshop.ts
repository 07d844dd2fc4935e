import { AppError } from "../errors.js";
import type { Journal } from "../journal/journal.js";
import type { Clock } from "../model/instant.js";
import type { Lot } from "../model/lot.js";
import { type FocusView, type LotFocus, type WorkshopFacts, workshopFactsSchema } from "../model/workshop.js";
import { CO2_WAVELENGTH_MM, focusError, inFocus, spacerFor, waistOf } from "./focus.js";
import { type Kept, keptWithin } from "./kept.js";
import { lotName, thicknessOf } from "./lot-view.js";

/** Under which the journal keeps them. */
const SUBJECT = "workshop";
const PATH = "facts";
/** The middle of the sheet; the face for engraving (common practice, no source). */
const USUAL_DEPTH_SHARE = 0.5;
/** Of small sealed tubes (common practice, no source). */
const USUAL_M2 = 1.2;

export interface WorkshopParts {
  readonly clock: Clock;
  readonly journal: Pick<Journal, "lastSetting" | "settingChanged">;
  readonly lots: () => Promise<readonly Lot[]>;
}

/** What the owner said of machine and shop, and what follows of it for a sheet. */
export function createWorkshop({ clock, journal, lots }: WorkshopParts) {
  async function facts(): Promise<WorkshopFacts> {
    const kept = workshopFactsSchema.safeParse((await journal.lastSetting(SUBJECT, PATH))?.value);
    return kept.success ? kept.data : {};
  }
  return {
    facts,
    async view(): Promise<{ readonly facts: WorkshopFacts; readonly focus: FocusView | null }> {
      const known = await facts();
      return { facts: known, focus: focusOf(known) };
    },
    async put(next: WorkshopFacts, by: string | null): Promise<Kept<WorkshopFacts>> {
      const old = await facts();
      const keeping = journal.settingChanged({
        ...{ subject: SUBJECT, path: PATH, old, new: next, at: clock.now(), by },
      });
      return keptWithin(
        keeping.then(() => next),
        next,
      );
    },
    /** For each lot, in the order given; the head is taken to have been set for the first. @throws AppError `lot-unknown` */
    async focusFor(ids: readonly string[]): Promise<LotFocus[]> {
      const [known, all] = [await facts(), await lots()];
      const asked = ids.map((id) => {
        const lot = all.find((each) => each.id === id);
        if (lot === undefined) throw new AppError("lot-unknown", "The journal has no lot of this id.");
        return lot;
      });
      return asked.map((lot) => lotFocus(known, lot, asked[0] as Lot));
    },
  };
}

/** Null where the lens is not known. */
function focusOf({ lens_focal_mm, beam_mm, m2 = USUAL_M2 }: WorkshopFacts): FocusView | null {
  if (lens_focal_mm === undefined || beam_mm === undefined) return null;
  return waistOf({
    focalLengthMm: lens_focal_mm,
    beamDiameterMm: beam_mm,
    m2,
    wavelengthMm: CO2_WAVELENGTH_MM,
  });
}

/** The spacer of a lot, and how far off it is with the head as it was set for another. */
export function lotFocus(facts: WorkshopFacts, lot: Lot, setFor: Lot): LotFocus {
  const { spacer_mm, spacer_for_mm, focus_depth_share: share = USUAL_DEPTH_SHARE } = facts;
  const thickness = thicknessOf(lot.facts)?.mean ?? null;
  const other = thicknessOf(setFor.facts)?.mean ?? null;
  const name = lotName(lot);
  const nothing = { lot: lot.id, spacerMm: null, errorMm: null, inFocus: null };
  if (thickness === null)
    return { ...nothing, sentence: `${name} has not been measured: its focus is not known.` };
  const spacerMm =
    spacer_mm === undefined || spacer_for_mm === undefined
      ? null
      : spacerFor({ spacerMm: spacer_mm, depthShare: share }, spacer_for_mm, thickness);
  const errorMm = other === null ? null : focusError(share, other, thickness);
  const waist = focusOf(facts);
  const isIn = waist === null || errorMm === null ? null : inFocus(waist, errorMm);
  return {
    lot: lot.id,
    spacerMm,
    errorMm,
    inFocus: isIn,
    sentence: [spacerSentence(name, thickness, spacerMm), errorSentence(lot, setFor, errorMm, isIn, waist)]
      .filter((each) => each !== "")
      .join(" "),
  };
}

function spacerSentence(name: string, thickness: number, spacerMm: number | null): string {
  const measured = `${name}, ${thickness.toFixed(2)} mm as measured`;
  return spacerMm === null
    ? `${measured}. To have its spacer worked out, enter your spacer and the sheet it is right for on the page Workshop.`
    : `${measured}: spacer ${spacerMm.toFixed(2)} mm.`;
}

function errorSentence(
  lot: Lot,
  setFor: Lot,
  errorMm: number | null,
  isIn: boolean | null,
  waist: FocusView | null,
): string {
  if (errorMm === null || lot.id === setFor.id) return "";
  const off = `With the head as it was set for ${lotName(setFor)} the focus is ${Math.abs(errorMm).toFixed(2)} mm too ${errorMm > 0 ? "low" : "high"} in the sheet`;
  if (isIn === null || waist === null) return `${off}.`;
  const depth = `the lens's depth of focus, ${(waist.depthMm / 2).toFixed(2)} mm either way`;
  return isIn ? `${off}, within ${depth}.` : `${off}, beyond ${depth}: set it anew.`;
}
