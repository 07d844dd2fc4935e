import { encode } from "uqr";

/** ISO/IEC 18004 (from memory): light modules that must stand around the code, or it is not found. */
const QUIET_ZONE = 4;

export interface QrCode {
  /** Modules along a side, with the quiet zone: the view box of the path. */
  readonly modules: number;
  /** The dark modules as the `d` of an SVG path, filled, one unit a module. */
  readonly path: string;
}

/**
 * A QR code with error correction level M at least: it may lose some 15 % of it to dust, glue and a scratch. Where a higher
 * level needs no more room it has that.
 * @param text as a rule an address @throws RangeError for one that is empty or too long for a label
 */
export function qrCode(text: string): QrCode {
  if (text === "" || Buffer.byteLength(text) > LONGEST_BYTES) {
    throw new RangeError(
      `A QR code for a label has 1 to ${LONGEST_BYTES} bytes, this has ${Buffer.byteLength(text)}.`,
    );
  }
  const { size, data } = encode(text, { ecc: "M", boostEcc: true, border: QUIET_ZONE });
  return { modules: size, path: data.flatMap(rowPath).join("") };
}

/** With more its modules would be too fine for a label of three centimetres. */
const LONGEST_BYTES = 200;

/** One rectangle for each run of dark modules: seams between single ones show in print. */
function rowPath(row: readonly boolean[], y: number): string[] {
  const runs: string[] = [];
  for (let x = 0; x < row.length; x++) {
    if (row[x] !== true) continue;
    const from = x;
    while (row[x + 1] === true) x += 1;
    const length = x + 1 - from;
    runs.push(`M${from} ${y}h${length}v1h-${length}z`);
  }
  return runs;
}
