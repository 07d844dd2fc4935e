import { useEffect, useState } from "preact/hooks";
import type { PlanPreview } from "../../../../station/model/plan.js";
import { createErrand } from "../../link/errand.js";
import { askTrials } from "../ask-trials.js";
import { type PlanDraft, planFactsOf } from "./plan-draft.js";

const AFTER_TYPING_MS = 500;

/** What the plan can show, said by the station before anything is cut; nothing while the plan is not whole yet. */
export function usePreview(draft: PlanDraft): PlanPreview | null {
  const [preview, setPreview] = useState<PlanPreview | null>(null);
  const { facts, wrong } = planFactsOf({
    ...draft,
    typed: { ...draft.typed, title: draft.typed.title || "–" },
  });
  const asked = wrong.size === 0 ? JSON.stringify(facts) : null;
  useEffect(() => {
    if (asked === null) {
      setPreview(null);
      return;
    }
    const errand = createErrand<PlanPreview>(setPreview, () => setPreview(null));
    const timer = setTimeout(
      () => errand.ask((signal) => askTrials.preview(JSON.parse(asked), signal)),
      AFTER_TYPING_MS,
    );
    return () => {
      clearTimeout(timer);
      errand.stop();
    };
  }, [asked]);
  return preview;
}

export function PreviewCard({ preview, search }: { preview: PlanPreview | null; search: boolean }) {
  return (
    <section class="preview" aria-live="polite" data-testid="preview">
      {preview !== null && (
        <div class="card">
          <h2>
            {search && "Up to "}
            {preview.cuts === 1 ? "1 cut" : `${preview.cuts} cuts`}
          </h2>
          <ul class="sentences">
            {preview.sentences.map((each) => (
              <li key={each}>{each}</li>
            ))}
          </ul>
        </div>
      )}
    </section>
  );
}
