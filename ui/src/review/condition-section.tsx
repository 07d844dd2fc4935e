import type { ComponentChildren } from "preact";
import type { ConditionVerdict } from "../../../station/model/review.js";
import { type NumberRow, Numbers } from "./figures-list.js";
import { VerdictMark } from "./verdict.js";
import { underVerdict } from "./words.js";

interface Props {
  readonly answer: {
    readonly condition: string;
    readonly name: string;
    readonly verdict: ConditionVerdict;
    readonly sentence: string;
    readonly warnings: readonly string[];
    readonly method: string;
  };
  /** Of its heading, by what stands above it. */
  readonly level: "h2" | "h3";
  /** What is said once for all of them. */
  readonly often: ReadonlySet<string>;
  readonly rows: readonly NumberRow[];
  /** A picture. */
  readonly children?: ComponentChildren;
}

/** What is said of one condition: its verdict, the sentence, the picture, and the numbers for who asks for them. */
export function ConditionSection({ answer, level: Heading, often, rows, children }: Props) {
  const { condition, name, verdict, sentence, method } = answer;
  const warnings = answer.warnings.filter((warning) => !often.has(warning));
  return (
    <section class="card review-condition" data-testid={`condition-${condition}`}>
      <header>
        <Heading>{name}</Heading>
        <VerdictMark verdict={verdict} />
      </header>
      <p>{underVerdict(sentence, name, verdict)}</p>
      {children}
      {warnings.map((warning) => (
        <p class="soft" key={warning}>
          {warning}
        </p>
      ))}
      <Numbers method={method} rows={rows} />
    </section>
  );
}
