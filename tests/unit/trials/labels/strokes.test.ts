import readerModule, { type IPolylineEntity } from "dxf-parser";
import sharp from "sharp";
import { describe, expect, it } from "vitest";
import { strokesToDxf } from "../../../../station/trials/labels/dxf.js";
import { LETTERS } from "../../../../station/trials/labels/letters.js";
import { type StrokeText, strokesToSvg, strokeText } from "../../../../station/trials/labels/strokes.js";
import { CODE_ALPHABET } from "../../../../station/trials/specimen-code.js";

// A module of CommonJS that was made for bundlers: what it exports is one level down for the compiler, and not when it runs.
const DxfParser = readerModule as unknown as typeof readerModule.default;
const ALL = [...new Set(`${CODE_ALPHABET}0123456789-`)];

/** Points along every stroke, close together. */
function pointsOf({ strokes }: StrokeText): [number, number][] {
  return strokes.flatMap((stroke) =>
    stroke.slice(1).flatMap(([x, y], i): [number, number][] => {
      const [fromX, fromY] = stroke[i] as readonly [number, number];
      const steps = Math.max(1, Math.ceil(Math.hypot(x - fromX, y - fromY) / 0.05));
      return Array.from({ length: steps + 1 }, (_, k) => [
        fromX + ((x - fromX) * k) / steps,
        fromY + ((y - fromY) * k) / steps,
      ]);
    }),
  );
}

/** By how much the one farthest from the other's line is off it, mm (Hausdorff distance). */
function farthest(one: [number, number][], other: [number, number][]): number {
  const off = (from: [number, number][], to: [number, number][]) =>
    Math.max(...from.map(([x, y]) => Math.min(...to.map(([u, v]) => Math.hypot(x - u, y - v)))));
  return Math.max(off(one, other), off(other, one));
}

describe("letters of single lines", () => {
  it("there is one for every character of a code, every digit and the hyphen", () => {
    expect(Object.keys(LETTERS).sort()).toEqual([...ALL].sort());
  });

  it("each stands in its box, as high as was asked for", () => {
    for (const letter of ALL) {
      const text = strokeText(letter, 6);
      const points = pointsOf(text);
      const [xs, ys] = [points.map(([x]) => x), points.map(([, y]) => y)];
      expect(Math.min(...xs), letter).toBeGreaterThanOrEqual(-1e-9);
      expect(Math.max(...xs), letter).toBeLessThanOrEqual(text.widthMm + 1e-9);
      if (letter === "-") continue;
      expect(Math.min(...ys), letter).toBeCloseTo(0, 1);
      expect(Math.max(...ys), letter).toBeCloseTo(6, 0);
      expect(Math.max(...ys), letter).toBeLessThanOrEqual(6 + 1e-9);
    }
  });

  it("no two of a code's look alike: somewhere they are a sixth of their height apart", () => {
    const letters = [...CODE_ALPHABET].map((letter) => ({ letter, points: pointsOf(strokeText(letter, 6)) }));
    for (const [i, one] of letters.entries()) {
      for (const other of letters.slice(0, i)) {
        expect(farthest(one.points, other.points), one.letter + other.letter).toBeGreaterThan(1);
      }
    }
  });

  it("a text is as wide as its letters, and no two of them touch", () => {
    const { strokes, widthMm, heightMm } = strokeText("HH-HH", 3);
    expect(heightMm).toBe(3);
    // Each letter is two thirds as wide as high, and 0.45 of that is left between two.
    expect(widthMm).toBeCloseTo(5 * 2 + 4 * 0.9, 9);
    const xs = strokes.flat().map(([x]) => x);
    expect(Math.max(...xs)).toBeCloseTo(widthMm, 9);
    expect(Math.min(...xs)).toBe(0);
    expect(strokeText("prt79", 3)).toEqual(strokeText("PRT79", 3));
  });

  it("refuses what it has no letter for, and a height that is none", () => {
    expect(() => strokeText("PRÜF", 3)).toThrow(/no engraved letter for "Ü"/);
    expect(() => strokeText("", 3)).toThrow(/no text/);
    for (const height of [0, -1, 101, Number.NaN]) expect(() => strokeText("A", height)).toThrow(/high/);
  });
});

describe("as SVG", () => {
  it("is drawn in real size, as lines with nothing filled", async () => {
    const text = strokeText("PRT79", 5);
    const svg = strokesToSvg(text);
    expect(svg).toContain('fill="none"');
    // A margin of 1 mm on each side.
    const width = text.widthMm + 2;
    expect(Number(/width="([\d.]+)mm"/.exec(svg)?.[1])).toBeCloseTo(width, 3);
    expect(svg).toMatch(/height="7mm" viewBox="0 0 [\d.]+ 7"/);
    // So many pixels that a millimetre has ten.
    const { data, info } = await sharp(Buffer.from(svg), { density: 300 })
      .resize(Math.round(width * 10), 70, { fit: "fill" })
      .flatten({ background: "white" })
      .greyscale()
      .raw()
      .toBuffer({ resolveWithObject: true });
    const dark: [number, number][] = [];
    for (const [at, value] of data.entries()) {
      if (value < 200) dark.push([at % info.width, Math.floor(at / info.width)]);
    }
    const ys = dark.map(([, y]) => y);
    expect(Math.abs(Math.min(...ys) - 10)).toBeLessThanOrEqual(1);
    expect(Math.abs(Math.max(...ys) - 60)).toBeLessThanOrEqual(1);
    // The P stands upright: its stem is long, and its bowl is above.
    const inP = dark.filter(([x]) => x > 14 && x < 44);
    expect(inP.length).toBeGreaterThan(30);
    expect(inP.filter(([, y]) => y > 37)).toEqual([]);
    expect(dark.length / data.length).toBeLessThan(0.15);
  });
});

describe("as DXF", () => {
  const text = strokeText("K3W4X-PRT79", 4);
  const dxf = strokesToDxf(text);

  // An independent reader of DXF.
  it("is read back as the same lines, in millimetres", () => {
    const read = new DxfParser().parseSync(dxf);
    expect(read?.header.$ACADVER).toBe("AC1009");
    expect(read?.header.$INSUNITS).toBe(4);
    const lines = (read?.entities ?? []) as IPolylineEntity[];
    expect(lines.map(({ type }) => type)).toEqual(text.strokes.map(() => "POLYLINE"));
    for (const [i, { vertices, shape }] of lines.entries()) {
      expect(shape).toBe(false);
      expect(vertices).toHaveLength(text.strokes[i]?.length as number);
      for (const [k, { x, y }] of vertices.entries()) {
        const [wantedX = 0, wantedY = 0] = text.strokes[i]?.[k] ?? [];
        expect(x).toBeCloseTo(wantedX, 3);
        expect(y).toBeCloseTo(wantedY, 3);
      }
    }
  });

  it("has a code and a value on a line each, all lines ended alike", () => {
    const lines = dxf.split("\r\n");
    expect(lines.pop()).toBe("");
    expect(dxf.replaceAll("\r\n", "")).not.toMatch(/[\r\n]/);
    expect(lines.length % 2).toBe(0);
    for (let i = 0; i < lines.length; i += 2) expect(lines[i]).toMatch(/^ {0,2}\d{1,3}$/);
    expect(lines.slice(-2)).toEqual(["  0", "EOF"]);
  });
});
