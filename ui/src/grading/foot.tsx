import type { ComponentChildren } from "preact";
import { lost } from "../link/heard.js";
import { AloneLine } from "./alone-line.js";
import { trouble, waiting } from "./outbox.js";
import { tallyOf } from "./waiting.js";
import { WaitingLine } from "./waiting-card.js";

/**
 * At the foot of the screen while the page is scrolled: whatever comes and goes stands here, so that no button moves away under
 * a finger that is about to press it.
 */
export function Foot({ wrong, children }: { wrong: string | null; children: ComponentChildren }) {
  return (
    <div class="foot">
      {wrong !== null && (
        <p class="refusal" role="alert" data-testid="not-kept">
          {wrong}
        </p>
      )}
      <AloneLine />
      {/* What is on its way at this moment is not waiting yet. */}
      {(trouble.value !== null || lost.value) && (
        <WaitingLine tally={tallyOf(waiting.value)} wall={Date.now()} />
      )}
      {children}
    </div>
  );
}
