import type { Truth } from "../../../station/model/calibration-view.js";
import { readForm } from "../trials/typed/numbers.js";

/** What was typed of the thermometer that the warm bath is measured with. */
export interface BathDraft {
  readonly by: "limits" | "certificate";
  readonly truth: string;
  readonly within: string;
  readonly expanded: string;
  readonly coverage: string;
}

export const EMPTY_BATH: BathDraft = { by: "limits", truth: "", within: "", expanded: "", coverage: "2" };

/** The truth in a draft, null with what was expected by field. */
export function truthOf(draft: BathDraft): {
  readonly truth: Truth | null;
  readonly wrong: ReadonlyMap<string, string>;
} {
  const form = readForm();
  const wrong = new Map<string, string>();
  const needed = (
    field: "truth" | "within" | "expanded" | "coverage",
    least: number,
    most: number,
    words: string,
  ) => {
    const value = form.number(field, draft[field], { least, most });
    if (value === undefined && !form.wrong.has(field)) wrong.set(field, words);
    return value ?? 0;
  };
  const truth = needed("truth", -20, 100, "what the thermometer reads now");
  const made: Truth =
    draft.by === "limits"
      ? { by: "limits", truth, within: needed("within", 0.001, 5, "its limits, from its sheet") }
      : {
          ...{ by: "certificate", truth },
          expanded: needed("expanded", 0.001, 5, "U, from its certificate"),
          coverage: needed("coverage", 1, 4, "k, from its certificate; mostly 2"),
        };
  for (const [field, words] of form.wrong) wrong.set(field, words);
  return { truth: wrong.size === 0 ? made : null, wrong };
}
