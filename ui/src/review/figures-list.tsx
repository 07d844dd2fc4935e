import type { ComponentChildren } from "preact";

/** A figure with what it is. */
export interface NumberRow {
  readonly what: string;
  /** Null where it is not known: then the line is left out. */
  readonly value: string | null;
}

/** Numbers for who asks for them, a line each; what is not known has none. */
export function Numbers({
  rows,
  method,
  children,
}: {
  rows: readonly NumberRow[];
  method: string;
  children?: ComponentChildren;
}) {
  return (
    <details class="review-numbers">
      <summary>Numbers</summary>
      <dl class="facts">
        {rows.map(({ what, value }) =>
          value === null ? null : (
            <div key={what}>
              <dt>{what}</dt>
              <dd>{value}</dd>
            </div>
          ),
        )}
        <div>
          <dt>Method</dt>
          <dd>
            {method}. <a href="/review/method">What that means</a>
          </dd>
        </div>
      </dl>
      {children}
    </details>
  );
}
