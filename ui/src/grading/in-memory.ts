import type { GradingSheet, PlanView } from "../../../station/model/specimen.js";
import { hasSpecimen, type KeptHere, type Lately, MOST_LATELY, settledSheet, sheetKey } from "./kept-here.js";
import type { Waiting } from "./waiting.js";

/** For a browser that keeps nothing: as long as the page is open, and no longer. */
export function createInMemory(): KeptHere {
  const waiting = new Map<number, Waiting>();
  const pictures = new Map<string, ArrayBuffer>();
  const sheets = new Map<string, GradingSheet>();
  const plans = new Map<string, PlanView>();
  const lately = new Map<string, Lately>();
  let last = 0;

  return {
    waiting: async () => [...waiting.values()],
    async add(entered, picture, title) {
      last += 1;
      waiting.set(last, { ...entered, place: last, refused: null });
      if (picture !== null) pictures.set(entered.entry, picture);
      if (title !== null)
        lately.set(entered.subject, { code: entered.subject, title, wall: entered.enteredWall });
    },
    picture: async (entry) => pictures.get(entry) ?? null,
    async settle(item, answer) {
      waiting.delete(item.place);
      pictures.delete(item.entry);
      for (const [key, sheet] of sheets) sheets.set(key, settledSheet(sheet, item, answer));
    },
    async refuse(item, why) {
      if (waiting.has(item.place)) waiting.set(item.place, { ...item, refused: why });
    },
    async dismiss(item) {
      waiting.delete(item.place);
      pictures.delete(item.entry);
    },
    sheet: async (code, grading) => sheets.get(sheetKey(code, grading)) ?? null,
    async keepSheet(sheet) {
      sheets.set(sheetKey(sheet.code, sheet.grading), sheet);
    },
    plan: async (id) => plans.get(id) ?? null,
    planWith: async (code) => [...plans.values()].find((plan) => hasSpecimen(plan, code)) ?? null,
    async keepPlan(plan) {
      plans.set(plan.id, plan);
    },
    lately: async () => [...lately.values()].sort((a, b) => b.wall - a.wall).slice(0, MOST_LATELY),
  };
}
