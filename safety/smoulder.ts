import { type MaterialFamily, readMaterial } from "./materials.js";

/** Families whose cut edges and offcuts go on smouldering unseen (see the caution `fire-smoulder`); leather chars and glows as they do. */
const SMOULDERING: readonly MaterialFamily[] = ["board", "wood", "card", "leather", "treated-timber"];

/** Whether what was typed on the job sheet names stock that smoulders; false where nothing was typed. */
export function smoulders(material: string | undefined): boolean {
  const { families } = readMaterial(material);
  return SMOULDERING.some((family) => families.has(family));
}
