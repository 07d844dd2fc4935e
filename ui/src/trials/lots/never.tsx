import type { LotView } from "../../../../station/model/lot.js";

type Cautioned = Pick<LotView, "cautions">;

export function neverCut({ cautions }: Cautioned): boolean {
  return cautions.some(({ never }) => never);
}

/** A barred square beside the words, wherever the lot is chosen. */
export function NeverMark({ lot }: { lot: Cautioned }) {
  if (!neverCut(lot)) return null;
  return (
    <span class="flag flag-abnormal" data-testid="never-cut">
      <svg class="fit-shape fit-shape-not-fit" viewBox="0 0 32 32" aria-hidden="true">
        <rect class="fit-body" x="3" y="3" width="26" height="26" rx="3" />
        <path class="fit-bar" d="M9 16h14" />
      </svg>
      <span>Never cut</span>
    </span>
  );
}

/** What the station knows against a material; it advises, and forbids nothing. */
export function LotCautions({ lot }: { lot: Cautioned }) {
  if (lot.cautions.length === 0) return null;
  return (
    <ul class="lot-cautions">
      {lot.cautions.map(({ headline, never }) => (
        <li key={headline} class={never ? "lot-caution lot-caution-never" : "lot-caution"}>
          {never && <strong>Never cut. </strong>}
          {headline}
        </li>
      ))}
    </ul>
  );
}
