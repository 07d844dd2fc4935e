/**
 * What to call a lot beside its material, so that nothing is said twice: a plan names the material after its lot, and a lot's name
 * has the product in it. Null where the material says it all, or there is no lot.
 */
export function lotBeside(
  material: string | null | undefined,
  lot: string | null | undefined,
): string | null {
  if (!lot || material?.startsWith(lot)) return null;
  return material && lot.endsWith(` ${material}`) ? lot.slice(0, -material.length - 1) : lot;
}
