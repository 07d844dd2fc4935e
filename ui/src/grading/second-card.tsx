import { whenText } from "../words/time.js";
import { specimenAddress } from "./addresses.js";
import type { SecondOffer } from "./second.js";

/** Stands in the place of the first grades while a second grading is due: who has just seen them cannot judge afresh. */
export function SecondGate({ code, open }: { code: string; open: () => void }) {
  return (
    <section class="card" aria-labelledby="second-title" data-testid="second-gate">
      <h2 id="second-title">Graded twice</h2>
      <p>
        This specimen has its first grades. It is one of those that are graded a second time, to learn how far
        two gradings agree. The first grades are not shown, so that you judge afresh.
      </p>
      <p class="second-ways">
        <a class="button button-main" href={specimenAddress(code, 2)} data-testid="second-begin">
          Second grading
        </a>
        <button type="button" class="button" data-testid="second-look" onClick={open}>
          See or change the first one
        </button>
      </p>
    </section>
  );
}

/** Below a first grading that has just been completed. */
export function SecondNote({ offer, today }: { offer: SecondOffer; today: number }) {
  if (offer === "no") return null;
  return (
    <p class="soft" data-testid="second-note">
      {offer === "now"
        ? "This specimen is graded a second time: open its code again."
        : `This specimen is graded a second time: by another person on their own phone, or by you from ${whenText(offer.from, today)} on.`}
    </p>
  );
}
