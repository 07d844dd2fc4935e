import { usePageTitle } from "../shell/page-title.js";

/** What the printer is told of the patches, dark to light: CIE L*. Far enough apart for a line, and none at an end of what paper has. */
const TOLD = [
  ["darkest", 25],
  ["middle", 50],
  ["lightest", 85],
] as const;
const PATCH_MM = 30;
const GAP_MM = 4;
const HEIGHT_MM = 48;
const WIDTH_MM = TOLD.length * PATCH_MM + (TOLD.length + 1) * GAP_MM;

/** Of a grey: `lab()` is what CSS Color 4 calls it, so that a browser that manages colours passes on what is meant. */
function grey(star: number): string {
  return `lab(${star}% 0 0)`;
}

/** A card of three greys to be printed, cut out, and laid beside what is photographed. */
export function GreyCardPage() {
  usePageTitle("Grey card");
  return (
    <div class="page printing">
      <div class="unprinted">
        <p>
          <a class="back" href="/plans">
            Trials
          </a>
        </p>
        <h1>Grey card</h1>
        <p>
          Print it on matt white paper, without a frame and without “fit to page”, cut it out, and lay it in
          the same light beside the edge, not in its shadow.
        </p>
        <p>
          A printer makes of a grey what it likes. With what it was told (the figures on the card) photos can
          be compared with each other, as long as it is this one card. For true L* measure the patches, or use
          a card whose maker gives its L*, and type that.
        </p>
        <button type="button" class="button button-main" onClick={() => print()}>
          Print
        </button>
      </div>
      <svg
        class="grey-card"
        data-testid="grey-card"
        width={`${WIDTH_MM}mm`}
        height={`${HEIGHT_MM}mm`}
        viewBox={`0 0 ${WIDTH_MM} ${HEIGHT_MM}`}
        role="img"
        aria-label="Three patches of grey"
      >
        <rect width={WIDTH_MM} height={HEIGHT_MM} fill="#fff" stroke="#000" stroke-width="0.2" />
        {TOLD.map(([name, star], i) => {
          const x = GAP_MM + i * (PATCH_MM + GAP_MM);
          return (
            <g key={name}>
              <rect x={x} y={GAP_MM} width={PATCH_MM} height={PATCH_MM} style={{ fill: grey(star) }} />
              <text x={x} y={GAP_MM + PATCH_MM + 5} font-size="3.6" fill="#000">
                {name}: told L* {star}
              </text>
            </g>
          );
        })}
        <text x={GAP_MM} y={HEIGHT_MM - 3} font-size="3" fill="#000">
          Printed as told, not measured. Measured on:
        </text>
      </svg>
    </div>
  );
}
