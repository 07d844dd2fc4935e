import type { PropertyId } from "../../../station/model/grade.js";
import { propertyOf } from "../../../station/model/grade.js";
import type { GradingSheet } from "../../../station/model/specimen.js";
import { specimenAddress } from "./addresses.js";
import { cardId } from "./grade-card.js";
import { isComplete, propertiesOf } from "./second.js";

function goTo(id: PropertyId): void {
  const heading = document.getElementById(cardId(id));
  const still = matchMedia("(prefers-reduced-motion: reduce)").matches;
  heading?.scrollIntoView({ block: "start", behavior: still ? "auto" : "smooth" });
  heading?.focus({ preventScroll: true });
}

/** How far it is, and the way to what is not given yet, or to the next specimen. */
export function Progress({ sheet, next }: { sheet: GradingSheet; next: string | null }) {
  const ids = propertiesOf(sheet);
  const missing = ids.filter((id) => sheet.grades[id] === undefined);
  const [first] = missing;
  return (
    <div class="progress" data-testid="progress">
      <p>
        <strong>
          {ids.length - missing.length} of {ids.length}
        </strong>{" "}
        given
      </p>
      {first !== undefined && (
        <button type="button" class="button" data-testid="go-on" onClick={() => goTo(first)}>
          Still to give: {propertyOf(first).name}
        </button>
      )}
      {/* What is measured may come later, as bending or paint does. */}
      {isComplete(sheet) && (
        <a
          class="button button-main"
          href={next === null ? "/grade" : specimenAddress(next)}
          data-testid={next === null ? "next-code" : "next-specimen"}
        >
          {next === null ? "Next specimen" : `Next: ${next}`}
        </a>
      )}
    </div>
  );
}
