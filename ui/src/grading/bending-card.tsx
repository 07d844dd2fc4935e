import type { ComponentChildren } from "preact";
import type { BendingResult } from "../../../station/model/specimen.js";

/** What is measured of a bending test, together, over its result. */
export function BendingCard({
  children,
  result,
}: {
  children: ComponentChildren;
  result: ComponentChildren;
}) {
  return (
    <section class="card bending" aria-labelledby="bending-title" data-testid="bending">
      <h2 id="bending-title">Bending (EN 310)</h2>
      <p class="soft">
        Lay the piece on two supports and load it in the middle. Two loads with their sags give the stiffness,
        the load at which it broke the strength.
      </p>
      <div class="bending-fields">{children}</div>
      {result}
    </section>
  );
}

/** What it came to, as the station has it: of what waits in this browser it does not know yet. */
export function Bent({ bending: { strength, modulus, departures, words } }: { bending: BendingResult }) {
  return (
    <div data-testid="bent">
      {strength !== null && (
        <p>
          Bending strength <strong>{strength.toFixed(1)} N/mm²</strong>
        </p>
      )}
      {modulus !== null && (
        <p>
          Modulus of elasticity <strong>{modulus.toFixed(0)} N/mm²</strong>
        </p>
      )}
      {departures.length > 0 && <p class="soft">Not as in the standard: {departures.join("; ")}.</p>}
      {words.map((each) => (
        <p key={each} class="soft">
          {each}
        </p>
      ))}
    </div>
  );
}
