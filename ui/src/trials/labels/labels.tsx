import { useEffect, useState } from "preact/hooks";
import {
  A4_LABELS,
  LABEL_SIZES,
  type LabelSheet,
  type LabelSize,
  rollLabels,
} from "../../../../station/model/label.js";
import type { PlanView } from "../../../../station/model/specimen.js";
import { useAsked } from "../../link/asked.js";
import { RefusalText } from "../../marks/refusal.js";
import { Wide } from "../../marks/wide.js";
import { askTrials } from "../ask-trials.js";
import { TypedField } from "../typed/typed-field.js";
import { LabelPage, usePageSize } from "./label-page.js";
import { readSizes, type TypedSizes, typedSizes, unitOf } from "./typed-sizes.js";

const KEPT_AS = "label-sizes";
const SIZES = Object.keys(LABEL_SIZES) as LabelSize[];

/** As they were last set on this screen: the labels at hand stay the same. */
function lastSizes(): LabelSheet {
  try {
    const kept = JSON.parse(localStorage.getItem(KEPT_AS) ?? "null") as LabelSheet | null;
    return kept !== null && SIZES.every((size) => Number.isFinite(kept[size])) ? kept : A4_LABELS;
  } catch {
    return A4_LABELS;
  }
}

function keepSizes(sizes: LabelSheet): void {
  try {
    localStorage.setItem(KEPT_AS, JSON.stringify(sizes));
  } catch {
    // A private window keeps nothing: they are typed again.
  }
}

export function Labels({ plan }: { plan: PlanView }) {
  const [typed, setTyped] = useState<TypedSizes>(() => typedSizes(lastSizes()));
  const [used, setUsed] = useState("0");
  const waits = plan.blocks.some(({ specimens }) => specimens.some(({ state }) => state === "waiting"));
  const { read, wrong } = readSizes(typed, used);
  const key = read === null ? "" : JSON.stringify([read, plan.id]);
  const { answer, refusal } = useAsked(`labels ${key}`, async () =>
    read === null ? null : askTrials.labels(plan.id, read.sizes, read.used, location.origin),
  );
  useEffect(() => {
    if (read !== null && answer !== null) keepSizes(read.sizes);
  }, [key, answer]);
  usePageSize(answer);
  const set = (next: LabelSheet) => setTyped(typedSizes(next));
  // On paper too, where else an empty page would come out.
  if (!waits)
    return <p class="card">No specimen of this plan is waiting to be cut: there are no labels to print.</p>;
  return (
    <>
      <section class="card unprinted" aria-labelledby="label-sizes-title">
        <h2 id="label-sizes-title">Your labels</h2>
        <p class="links">
          <button type="button" class="button" onClick={() => set(A4_LABELS)}>
            A4 sheet
          </button>
          <button type="button" class="button" onClick={() => set(rollLabels(62, 29))}>
            Roll of labels
          </button>
        </p>
        <div class="label-sizes">
          {SIZES.map((size) => (
            <TypedField
              key={size}
              name={size}
              label={LABEL_SIZES[size]}
              unit={unitOf(size)}
              kind="number"
              value={typed[size]}
              wrong={wrong}
              change={(text) => setTyped((before) => ({ ...before, [size]: text }))}
            />
          ))}
          <TypedField
            name="used"
            label="Labels of the first sheet that are used"
            kind="number"
            value={used}
            wrong={wrong}
            change={setUsed}
          />
        </div>
        <p class="soft">
          Print at 100 %. A label tells neither lot nor setting, so it can stay on the specimen while it is
          graded. Its QR code opens {location.origin}: print from the address that the phone can reach.
        </p>
        <RefusalText refusal={refusal} />
        <button
          type="button"
          class="button button-main"
          data-testid="print-labels"
          aria-disabled={answer === null || answer.pages.length === 0}
          onClick={() => print()}
        >
          Print the labels
        </button>
      </section>
      <Wide name="Labels" look="label-pages">
        {answer?.pages.map((labels, i) => (
          <LabelPage key={labels[0]?.code ?? i} view={answer} labels={labels} />
        ))}
      </Wide>
    </>
  );
}
