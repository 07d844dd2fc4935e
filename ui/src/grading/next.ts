import type { GradingSheet, PlanView } from "../../../station/model/specimen.js";
import { isComplete } from "./second.js";
import type { Entered } from "./waiting.js";

/** As somebody may have typed it, or a camera read: the station reads it the same way, and says what is wrong with it. */
export function plainCode(typed: string): string {
  return typed.toUpperCase().replace(/[\s-]/g, "");
}

/**
 * The code of the next specimen of the plan, in the order of cutting, that was cut and not graded; null where there is none.
 * @param entered on this device since the plan was asked for, in order
 */
export function nextUngraded(plan: PlanView, here: string, entered: readonly Entered[]): string | null {
  const { properties } = plan.facts;
  const all = plan.blocks.flatMap(({ specimens }) => specimens);
  const at = all.findIndex(({ code }) => code === here);
  const ordered = [...all.slice(at + 1), ...all.slice(0, Math.max(0, at))];
  const next = ordered.find(({ code, state, grades: [first] }) => {
    if (state !== "cut") return false;
    const own = entered.flatMap((item) =>
      item.kind === "grade" && item.subject === code && item.body.grading === 1
        ? [[item.property, item.body.value] as const]
        : [],
    );
    const grades = { ...first, ...Object.fromEntries(own.filter(([, value]) => value !== null)) };
    return !isComplete({ properties, grades });
  });
  return next?.code ?? null;
}

/** A sheet of a specimen that this browser has only seen in its plan, for as long as there is no connection. */
export function sheetFromPlan(plan: PlanView, code: string, grading: 1 | 2): GradingSheet | null {
  const specimen = plan.blocks.flatMap(({ specimens }) => specimens).find((each) => each.code === code);
  if (specimen === undefined) return null;
  const { blind, title, properties } = plan.facts;
  const { state, twice, grades, setting } = specimen;
  return {
    code,
    plan: { id: plan.id, number: plan.number, title },
    blind,
    lotName: null,
    setting: blind ? null : setting,
    state,
    twice,
    properties,
    grading,
    grades: grades[grading - 1] ?? {},
    bending: null,
    photos: [],
  };
}
