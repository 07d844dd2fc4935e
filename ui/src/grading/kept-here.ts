import type { PhotoRow } from "../../../station/model/photo.js";
import type { GradingSheet, PlanView } from "../../../station/model/specimen.js";
import { withGrade } from "./overlay.js";
import type { Entered, Waiting } from "./waiting.js";

/** A specimen that was graded on this device. */
export interface Lately {
  readonly code: string;
  readonly title: string;
  /** Of the last entry. */
  readonly wall: number;
}

/** What this browser keeps: what waits for the station, and what it last said, so that grading goes on without it. */
export interface KeptHere {
  /** In the order in which it was entered, those that were refused among them. */
  waiting(): Promise<readonly Waiting[]>;
  /** On the disk when it resolves. @throws DOMException where the browser has no room for it */
  add(entered: Entered, picture: ArrayBuffer | null, title: string | null): Promise<void>;
  picture(entry: string): Promise<ArrayBuffer | null>;
  /** The station has it: it goes, and the sheet that is kept here has it instead. */
  settle(item: Waiting, answer: unknown): Promise<void>;
  refuse(item: Waiting, why: string): Promise<void>;
  /** Somebody has read why it was refused. */
  dismiss(item: Waiting): Promise<void>;
  sheet(code: string, grading: 1 | 2): Promise<GradingSheet | null>;
  keepSheet(sheet: GradingSheet): Promise<void>;
  plan(id: string): Promise<PlanView | null>;
  /** The plan that has this specimen, of those that are kept here. */
  planWith(code: string): Promise<PlanView | null>;
  keepPlan(plan: PlanView): Promise<void>;
  /** Latest first. */
  lately(): Promise<readonly Lately[]>;
}

export const MOST_LATELY = 30;

export function sheetKey(code: string, grading: 1 | 2): string {
  return `${code} ${grading}`;
}

/** A kept sheet once the station has what was entered. */
export function settledSheet(sheet: GradingSheet, item: Waiting, answer: unknown): GradingSheet {
  if (item.subject !== sheet.code) return sheet;
  if (item.kind === "grade") return withGrade(sheet, item);
  const photo = answer as PhotoRow;
  if (sheet.photos.some(({ entry }) => entry === item.entry)) return sheet;
  return { ...sheet, photos: [...sheet.photos, photo] };
}

export function hasSpecimen(plan: PlanView, code: string): boolean {
  return plan.blocks.some(({ specimens }) => specimens.some((each) => each.code === code));
}
