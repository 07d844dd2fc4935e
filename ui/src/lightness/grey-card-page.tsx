import { usePageTitle } from "../shell/page-title.js";
import { PageTop } from "../shell/page-top.js";

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
        <PageTop back="/plans" word="Trials">
          <h1>Grey card</h1>
        </PageTop>
        <p>
          Print it on matt white paper at its full size, cut it out, and lay it beside the edge that you
          photograph: in the same light, and not in the shadow of the piece.
        </p>
        <p>
          No printer prints a grey quite as it is told, so the figures on the card are not exact. Photos taken
          with this one card can all the same be compared with each other: keep the card. For true figures
          have its greys measured, or use a card whose maker says how light its greys are (L*), and type those
          figures in.
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
                {name}: L* {star}
              </text>
            </g>
          );
        })}
        <text x={GAP_MM} y={HEIGHT_MM - 3} font-size="3" fill="#000">
          As sent to the printer, not measured. Printed on:
        </text>
      </svg>
    </div>
  );
}
