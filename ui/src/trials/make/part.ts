import type { PlanDraft, PlanTyped } from "./plan-draft.js";

/** What each part of the form is given. */
export interface PartProps {
  readonly draft: PlanDraft;
  readonly wrong: ReadonlyMap<string, string>;
  readonly change: (draft: PlanDraft) => void;
}

/** What a typed field of the form is given. */
export function typedIn({ draft, wrong, change }: PartProps) {
  return (name: PlanTyped) => ({
    name,
    value: draft.typed[name],
    wrong,
    change: (value: string) => change({ ...draft, typed: { ...draft.typed, [name]: value } }),
  });
}

/** The list with `item` in it, or taken out. */
export function turned<T>(list: readonly T[], item: T, on: boolean): readonly T[] {
  const others = list.filter((each) => each !== item);
  return on ? [...others, item] : others;
}
