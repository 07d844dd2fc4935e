/** A column of pixels of a drawing. */
export interface Column {
  /** Px from the left edge of the canvas to the column's middle. */
  readonly x: number;
  /** Px from the upper edge down to the first pixel in the full ink of a line; null where there is none. */
  readonly top: number | null;
}

/** Which part of a canvas is looked at: px from its edges. */
export interface Part {
  readonly left: number;
  readonly right: number;
  readonly above: number;
  readonly below: number;
}

/** What the lines of a canvas reach up to, read from its pixels. Runs in the browser, so it uses nothing from outside. */
export function skylineOf(element: Element, { left, right, above, below }: Part): Column[] {
  const canvas = element as HTMLCanvasElement;
  const ctx = canvas.getContext("2d");
  const probe = document.createElement("canvas").getContext("2d");
  if (ctx === null || probe === null) throw new Error("This browser cannot draw.");
  probe.fillStyle = getComputedStyle(canvas).getPropertyValue("--chart-line");
  probe.fillRect(0, 0, 1, 1);
  const ink = probe.getImageData(0, 0, 1, 1).data;
  const scale = canvas.width / canvas.clientWidth;
  const { data } = ctx.getImageData(0, 0, canvas.width, canvas.height);
  // An edge that lies between two pixels leaves them nearly in the ink.
  const isInk = (at: number) =>
    (data[at + 3] ?? 0) > 180 && [0, 1, 2].every((i) => Math.abs((data[at + i] ?? 0) - (ink[i] ?? 0)) < 40);
  const columns: Column[] = [];
  for (let x = Math.ceil(left * scale); x < canvas.width - right * scale; x += 1) {
    let top: number | null = null;
    for (let y = Math.ceil(above * scale); y < canvas.height - below * scale && top === null; y += 1) {
      if (isInk((y * canvas.width + x) * 4)) top = y / scale;
    }
    columns.push({ x: (x + 0.5) / scale, top });
  }
  return columns;
}

/** The one place that the lines rise to above all others: its middle, and by how much, px. */
export function peakOf(columns: readonly Column[]): { readonly x: number; readonly byPx: number } {
  const drawn = columns.flatMap(({ x, top }) => (top === null ? [] : [{ x, top }]));
  const highest = Math.min(...drawn.map(({ top }) => top));
  const peak = drawn.filter(({ top }) => top < highest + 2);
  const x = peak.reduce((sum, each) => sum + each.x, 0) / peak.length;
  const others = drawn.filter((each) => Math.abs(each.x - x) > 6).map(({ top }) => top);
  return { x, byPx: Math.min(...others) - highest };
}
