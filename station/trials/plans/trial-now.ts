import type { PlanView, Specimen, SpecimenView, TrialNow } from "../../model/specimen.js";
import { lotName } from "../lot-view.js";

/** What the wall screen shows of a plan. @param found how its search stands, in words */
export function trialNow(view: PlanView, found: readonly string[]): TrialNow {
  const all = view.blocks.flatMap(({ specimens }) => specimens);
  const { need } = view;
  const at =
    need.need === "nothing"
      ? -1
      : all.findIndex((each) =>
          need.need === "checks"
            ? each.block === need.block && each.state === "waiting"
            : each.code === need.code,
        );
  const about = all[at];
  return {
    plan: {
      ...{ id: view.id, number: view.number, title: view.facts.title },
      ...{ method: view.facts.layout.method, blind: view.facts.blind },
    },
    need,
    specimen: about === undefined ? null : { ...plain(about), lotName: nameOfLot(view, about.lot) },
    place: at + 1,
    of: all.length,
    cut: view.counts.cut,
    cutting: all.find(({ state }) => state === "cutting")?.code ?? null,
    last: lastCut(all),
    found,
  };
}

function plain({ code, plan, block, place, lot, setting, replaces }: SpecimenView): Specimen {
  return { code, plan, block, place, lot, setting, replaces };
}

function nameOfLot({ lots }: PlanView, id: string): string {
  const lot = lots.find((each) => each.id === id);
  return lot === undefined ? "" : lotName(lot);
}

function lastCut(all: readonly SpecimenView[]): TrialNow["last"] {
  const numberOf = ({ runs }: SpecimenView) => runs.at(-1)?.number ?? 0;
  const last = all.reduce<SpecimenView | null>(
    (best, each) => (numberOf(each) > (best === null ? 0 : numberOf(best)) ? each : best),
    null,
  );
  if (last === null) return null;
  const { code, runs, state, grades, replacedBy } = last;
  return { code, runs, state, grades, replacedBy };
}
