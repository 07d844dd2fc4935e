import type { ChannelKind } from "../../../station/model/quantity.js";
import type { FoundThing, GivenRole, RoleChange } from "../../../station/model/setup.js";
import { readForm } from "../trials/typed/numbers.js";

/** What was chosen and typed. */
export interface RoleDraft {
  readonly kind: ChannelKind | null;
  readonly name: string;
  /** Whether the thing is on as somebody looks at it; or, where the line cannot be read, whether high means on. */
  readonly now: "yes" | "no" | null;
  readonly station: string;
  readonly low: string;
  readonly high: string;
}

export function draftOf(role: GivenRole | undefined): RoleDraft {
  return {
    ...{ kind: role?.kind ?? null, name: role?.name ?? "", now: null },
    ...{ station: "Workshop station", low: "", high: "" },
  };
}

export interface Given {
  readonly thing: FoundThing;
  readonly point: string;
  /** The level of the line; null where it cannot be read. */
  readonly high: boolean | null;
  /** Which level means on is to be said. */
  readonly asks: boolean;
  /** There is no station.yaml yet. */
  readonly first: boolean;
}

const RANGE = { least: -20, most: 80 };

/** The change in a draft, null with what was expected by field. */
export function changeOf(
  draft: RoleDraft,
  { thing, point, high, asks, first }: Given,
): { readonly change: RoleChange | null; readonly wrong: ReadonlyMap<string, string> } {
  const form = readForm();
  const wrong = new Map<string, string>();
  const name = draft.name.trim();
  if (draft.kind === null) wrong.set("kind", "one of these");
  if (name === "") wrong.set("name", "a name, as the pages are to show it");
  if (asks && draft.now === null) wrong.set("now", "one of the two, as you see it now");
  const station = draft.station.trim();
  const low = first ? form.number("low", draft.low, RANGE) : undefined;
  const most = first ? form.number("high", draft.high, RANGE) : undefined;
  if (first) {
    if (station === "") wrong.set("station", "a name");
    for (const [field, value] of [
      ["low", low],
      ["high", most],
    ] as const) {
      if (value === undefined && !form.wrong.has(field)) wrong.set(field, "a number, from the manual");
    }
    if (low !== undefined && most !== undefined && low >= most) wrong.set("high", "more than the lower end");
  }
  for (const [field, words] of form.wrong) wrong.set(field, words);
  if (wrong.size > 0 || draft.kind === null) return { change: null, wrong };
  const on = draft.now === "yes";
  const activeLow = asks && (high === null ? !on : high !== on);
  return {
    change: {
      ...{ act: "give", key: thing.key, point, kind: draft.kind, name, activeLow },
      first: first ? { name: station, low: low ?? 0, high: most ?? 0 } : null,
    },
    wrong,
  };
}
