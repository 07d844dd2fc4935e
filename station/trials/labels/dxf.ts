import type { StrokeText } from "./strokes.js";

/** A group of DXF: a code that says what the value is, and the value, on a line each. */
type Group = readonly [code: number, value: string | number];

const MILLIMETRES = 4;
const LAYER: Group = [8, "0"];

/**
 * The strokes as ASCII DXF of the oldest kind that programs read (R12, AC1009; group codes from memory): open polylines on layer
 * 0, y upwards. R12 knows no unit; $INSUNITS came later and says millimetres to the programs that look for it, and the
 * comment says so to people.
 */
export function strokesToDxf({ strokes }: StrokeText): string {
  const groups: Group[] = [
    [999, "Units: millimetres"],
    [0, "SECTION"],
    [2, "HEADER"],
    [9, "$ACADVER"],
    [1, "AC1009"],
    [9, "$INSUNITS"],
    [70, MILLIMETRES],
    [0, "ENDSEC"],
    [0, "SECTION"],
    [2, "ENTITIES"],
    ...strokes.flatMap(polyline),
    [0, "ENDSEC"],
    [0, "EOF"],
  ];
  return groups.map(([code, value]) => `${String(code).padStart(3)}\r\n${value}\r\n`).join("");
}

function polyline(stroke: StrokeText["strokes"][number]): Group[] {
  return [
    [0, "POLYLINE"],
    LAYER,
    // Vertices follow.
    [66, 1],
    [10, "0.0"],
    [20, "0.0"],
    [30, "0.0"],
    [70, 0],
    ...stroke.flatMap(([x, y]): Group[] => [
      [0, "VERTEX"],
      LAYER,
      [10, x.toFixed(4)],
      [20, y.toFixed(4)],
      [30, "0.0"],
    ]),
    [0, "SEQEND"],
    LAYER,
  ];
}
