/**
 * What a lens does to the spot where the sheet is not where it was set for: a beam's waist after the definitions of ISO 11146-1 (from memory).
 * Millimetres throughout.
 */
export interface Lens {
  readonly focalLengthMm: number;
  /** Of the raw beam where it meets the lens. */
  readonly beamDiameterMm: number;
  /** The beam propagation ratio M², 1 or more. */
  readonly m2: number;
  readonly wavelengthMm: number;
}

/** The usual line of a CO2 laser, 10.6 µm (common practice, no source). */
export const CO2_WAVELENGTH_MM = 0.0106;

/** What counts as in focus: a spot that is at most so much wider than the waist. */
const IN_FOCUS = 1.05;

export interface Waist {
  /** Diameter of the spot at its narrowest: 4 M² λ f / (π D). */
  readonly spotMm: number;
  /** The distance at which the spot is √2 times as wide: π w² / (M² λ), with w half the spot. */
  readonly rayleighMm: number;
  /** From end to end, within which the spot is at most 5 % wider than at its narrowest. */
  readonly depthMm: number;
}

/** @throws RangeError for a lens that cannot be */
export function waistOf({ focalLengthMm, beamDiameterMm, m2, wavelengthMm }: Lens): Waist {
  if (!(focalLengthMm > 0 && beamDiameterMm > 0 && m2 >= 1 && wavelengthMm > 0)) {
    throw new RangeError("Focal length, beam and wavelength of a lens are above 0, and M² is 1 or more.");
  }
  const spotMm = (4 * m2 * wavelengthMm * focalLengthMm) / (Math.PI * beamDiameterMm);
  const rayleighMm = (Math.PI * (spotMm / 2) ** 2) / (m2 * wavelengthMm);
  return { spotMm, rayleighMm, depthMm: 2 * rayleighMm * Math.sqrt(IN_FOCUS ** 2 - 1) };
}

/** The spot's diameter so far from the waist, either way. */
export function spotAt({ spotMm, rayleighMm }: Waist, offMm: number): number {
  return spotMm * Math.sqrt(1 + (offMm / rayleighMm) ** 2);
}

/** How a machine is focused: with a spacer of this height between the nozzle, or lens, and the sheet's face. */
export interface FocusRule {
  readonly spacerMm: number;
  /** Where the waist is to be, as a share of the thickness below the face: 0 the face, 0.5 the middle of the sheet. */
  readonly depthShare: number;
}

/**
 * The spacer for a sheet: a thicker one has its middle lower, so that the head stands nearer to the face.
 * @param from a sheet for which the rule's spacer is right, thickness in mm
 */
export function spacerFor({ spacerMm, depthShare }: FocusRule, from: number, thicknessMm: number): number {
  return spacerMm - depthShare * (thicknessMm - from);
}

/**
 * How far the waist is from where it should be, where the head was set for one sheet and another lies on the same bed; above 0
 * where it is too low in the sheet.
 * @param setFor thickness of the sheet the head was set for, mm
 */
export function focusError(depthShare: number, setFor: number, thicknessMm: number): number {
  return (1 - depthShare) * (thicknessMm - setFor);
}

/** Whether that is within the lens's depth of focus. */
export function inFocus({ depthMm }: Waist, errorMm: number): boolean {
  return Math.abs(errorMm) <= depthMm / 2;
}
