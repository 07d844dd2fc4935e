import readModule from "jsqr";
import sharp from "sharp";
import { describe, expect, it } from "vitest";
import { qrCode } from "../../../../station/trials/labels/qr.js";

// A module of CommonJS that was made for bundlers: what it exports is one level down here.
const read = readModule as unknown as typeof readModule.default;
const ADDRESS = "http://workshop-station.local:8080/specimens/PRT79";

/** @param sideMm with the quiet zone */
function qrSvg(text: string, sideMm: number): string {
  const { modules, path } = qrCode(text);
  return (
    `<svg xmlns="http://www.w3.org/2000/svg" width="${sideMm}mm" height="${sideMm}mm" viewBox="0 0 ${modules} ${modules}" shape-rendering="crispEdges">` +
    `<path fill="#fff" d="M0 0h${modules}v${modules}h-${modules}z"/><path fill="#000" d="${path}"/></svg>`
  );
}

/** As a camera has it, after the light: what an independent reader finds in the picture. */
async function readBack(svg: string, pixels: number, blot: string | null = null): Promise<string | null> {
  const drawn = blot === null ? svg : svg.replace("</svg>", `${blot}</svg>`);
  const { data, info } = await sharp(Buffer.from(drawn), { density: 300 })
    .resize(pixels, pixels)
    .ensureAlpha()
    .raw()
    .toBuffer({ resolveWithObject: true });
  return read(new Uint8ClampedArray(data), info.width, info.height)?.data ?? null;
}

describe("a QR code", () => {
  it.each([ADDRESS, "a", "https://192.168.1.20/s/K3W4X?from=label&käfig=ü", "x".repeat(200)])(
    "is read back from its picture: %s",
    async (text) => {
      expect(await readBack(qrSvg(text, 30), 600)).toBe(text);
    },
  );

  it("is read with a part of it gone, as error correction level M or higher gives it", async () => {
    const { modules } = qrCode(ADDRESS);
    // Over the data, away from the three corners by which it is found: some 6 % of the modules.
    const side = Math.round(Math.sqrt(0.06) * (modules - 8));
    const blot = `<path fill="#000" d="M${modules / 2} ${modules / 2}h${side}v${side}h-${side}z"/>`;
    expect(await readBack(qrSvg(ADDRESS, 30), 600, blot)).toBe(ADDRESS);
  });

  // Source: ISO/IEC 18004, from memory: four light modules on each side, and a finder of seven by seven in three corners.
  it("has its quiet zone, and one finder in the corner behind it", async () => {
    const { modules, path } = qrCode(ADDRESS);
    expect((modules - 8 - 17) % 4).toBe(0);
    const runs = [...path.matchAll(/M(\d+) (\d+)h(\d+)v1h-\d+z/g)].map((run) => run.slice(1).map(Number));
    expect(runs.map((run) => run.join()).slice(0, 1)).toEqual(["4,4,7"]);
    for (const [x = 0, y = 0, length = 0] of runs) {
      expect(x).toBeGreaterThanOrEqual(4);
      expect(y).toBeGreaterThanOrEqual(4);
      expect(x + length).toBeLessThanOrEqual(modules - 4);
      expect(y).toBeLessThan(modules - 4);
    }
  });

  it("refuses what makes no label", () => {
    expect(() => qrCode("")).toThrow(/1 to 200 bytes/);
    expect(() => qrCode("ü".repeat(101))).toThrow(/has 202/);
  });
});
