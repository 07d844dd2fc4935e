import type { ComponentChildren } from "preact";

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
