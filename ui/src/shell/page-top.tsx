import type { ComponentChildren } from "preact";

interface Props {
  /** Address of the page that this one is reached from. */
  readonly back: string;
  readonly word: string;
  /** The heading. */
  readonly children: ComponentChildren;
}

/** The head of a page that is reached from another: the way back to that one, and its own heading. */
export function PageTop({ back, word, children }: Props) {
  return (
    <div class="page-top">
      <p class="no-print">
        <a class="back" href={back}>
          {word}
        </a>
      </p>
      {children}
    </div>
  );
}
