import type { ComponentChildren } from "preact";
import type { Asked } from "../link/asked.js";
import { JournalDoubt } from "../marks/journal-doubt.js";
import { RefusalText } from "../marks/refusal.js";
import { PageTop } from "../shell/page-top.js";
import { PrintButton } from "./told.js";

interface Props {
  readonly title: string;
  /** Whether there is something to print yet. */
  readonly printable: boolean;
  readonly children: ComponentChildren;
}

/** What every page of review below its first has around it: the way back, its heading, paper. */
export function ReviewFrame({ title, printable, children }: Props) {
  return (
    <div class="page review">
      <PageTop back="/review" word="Review">
        <header class="page-head">
          <h1>{title}</h1>
          {printable && <PrintButton />}
        </header>
      </PageTop>
      {children}
    </div>
  );
}

/** What stands where an answer is to come: what is to be thought of the journal, why there is none, or that it is on its way. */
export function Awaited<T>({ answer, refusal, again }: Asked<T>) {
  return (
    <>
      <JournalDoubt />
      <RefusalText refusal={refusal} again={again} />
      {answer === null && refusal === null && <p role="status">Looking through the runs.</p>}
    </>
  );
}
