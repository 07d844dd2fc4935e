/** A point of a letter in its box: x to the right from 0 to 4, y upwards from 0, the line it stands on, to 6. */
export type LetterPoint = readonly [x: number, y: number];
type Line = readonly LetterPoint[];

export const LETTER_WIDTH = 4;
export const LETTER_HEIGHT = 6;
/** Straight pieces that a curve is made of, one for so many degrees: at 5 mm it is off the curve by a hundredth. */
const STEP_DEGREES = 15;

/** Part of an ellipse, degrees counted from the right and against the clock; with `to` below `from` it runs with the clock. */
function arc(cx: number, cy: number, rx: number, ry: number, from: number, to: number): Line {
  const steps = Math.ceil(Math.abs(to - from) / STEP_DEGREES);
  return Array.from({ length: steps + 1 }, (_, i): LetterPoint => {
    const angle = ((from + ((to - from) * i) / steps) * Math.PI) / 180;
    return [cx + rx * Math.cos(angle), cy + ry * Math.sin(angle)];
  });
}

const BOWL: Line = [[0, 3], ...arc(2.5, 4.5, 1.5, 1.5, -90, 90), [0, 6], [0, 0]];
/** Its bowl at the foot; a 9 is the same, turned. */
const SIX: Line = [...arc(4, 2, 4, 4, 95, 180), ...arc(2, 2, 2, 2, 195, 540)];

/** Each stroke is one line that is engraved without lifting. */
export const LETTERS: Readonly<Record<string, readonly Line[]>> = {
  A: [
    [
      [0, 0],
      [2, 6],
      [4, 0],
    ],
    [
      [0.7, 2.1],
      [3.3, 2.1],
    ],
  ],
  C: [[...arc(2, 4, 2, 2, 20, 180), ...arc(2, 2, 2, 2, 180, 340)]],
  E: [
    [
      [4, 6],
      [0, 6],
      [0, 0],
      [4, 0],
    ],
    [
      [0, 3],
      [3, 3],
    ],
  ],
  F: [
    [
      [4, 6],
      [0, 6],
      [0, 0],
    ],
    [
      [0, 3],
      [3, 3],
    ],
  ],
  H: [
    [
      [0, 0],
      [0, 6],
    ],
    [
      [4, 6],
      [4, 0],
    ],
    [
      [0, 3],
      [4, 3],
    ],
  ],
  J: [[[1.5, 6], [4, 6], ...arc(2, 2, 2, 2, 0, -170)]],
  K: [
    [
      [0, 0],
      [0, 6],
    ],
    [
      [4, 6],
      [0, 2.2],
    ],
    [
      [1.4, 3.53],
      [4, 0],
    ],
  ],
  M: [
    [
      [0, 0],
      [0, 6],
      [2, 2.5],
      [4, 6],
      [4, 0],
    ],
  ],
  N: [
    [
      [0, 0],
      [0, 6],
      [4, 0],
      [4, 6],
    ],
  ],
  P: [BOWL],
  R: [
    BOWL,
    [
      [2.2, 3],
      [4, 0],
    ],
  ],
  T: [
    [
      [0, 6],
      [4, 6],
    ],
    [
      [2, 6],
      [2, 0],
    ],
  ],
  W: [
    [
      [0, 6],
      [1, 0],
      [2, 4],
      [3, 0],
      [4, 6],
    ],
  ],
  X: [
    [
      [0, 0],
      [4, 6],
    ],
    [
      [0, 6],
      [4, 0],
    ],
  ],
  Y: [
    [
      [0, 6],
      [2, 3],
      [4, 6],
    ],
    [
      [2, 3],
      [2, 0],
    ],
  ],
  0: [[...arc(2, 4, 2, 2, 0, 180), ...arc(2, 2, 2, 2, 180, 360), [4, 4]]],
  1: [
    [
      [0.6, 4.6],
      [2, 6],
      [2, 0],
    ],
    [
      [0.6, 0],
      [3.4, 0],
    ],
  ],
  2: [[...arc(2, 4.1, 1.9, 1.9, 165, -35), [0, 0], [4, 0]]],
  3: [[[0.2, 6], [3.8, 6], ...arc(2, 1.85, 2, 1.85, 100, -155)]],
  4: [
    [
      [3, 0],
      [3, 6],
      [0, 1.8],
      [4, 1.8],
    ],
  ],
  5: [[[3.8, 6], [0.7, 6], ...arc(2, 1.95, 2, 1.95, 140, -155)]],
  6: [SIX],
  7: [
    [
      [0, 6],
      [4, 6],
      [1.4, 0],
    ],
  ],
  8: [[...arc(2, 4.55, 1.7, 1.45, -90, 270), ...arc(2, 1.55, 2, 1.55, 90, 450)]],
  9: [SIX.map(([x, y]): LetterPoint => [LETTER_WIDTH - x, LETTER_HEIGHT - y])],
  "-": [
    [
      [0.8, 3],
      [3.2, 3],
    ],
  ],
};
