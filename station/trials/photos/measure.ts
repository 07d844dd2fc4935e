import sharp from "sharp";
import { AppError } from "../../errors.js";
import type { LightnessArea, MeasuredAreas } from "../../model/lightness.js";
import { darknessOf } from "../darkness.js";
import type { LightnessRequest } from "./calls.js";

/**
 * How light the areas of a photo that is kept are, after the grey card in it. In the process that reads pictures.
 * @throws AppError "request-invalid" with what is wrong with an area or the card
 */
export async function measureLightness({ file, asked }: LightnessRequest): Promise<MeasuredAreas> {
  const { data, info } = await sharp(file)
    .toColourspace("srgb")
    .removeAlpha()
    .raw()
    .toBuffer({ resolveWithObject: true });
  const names = Object.keys(asked.areas) as LightnessArea[];
  const areas = names.flatMap((name) => asked.areas[name] ?? []);
  try {
    const found = darknessOf({ width: info.width, height: info.height, rgb: data }, asked.card, areas);
    return Object.fromEntries(names.map((name, i) => [name, found[i]])) as MeasuredAreas;
  } catch (error) {
    if (!(error instanceof RangeError)) throw error;
    throw new AppError("request-invalid", error.message);
  }
}
