/** A published document a caution rests on. */
export interface CautionSource {
  /** Issuing body, number, title and edition or year: "HSE EH40/2005, Workplace exposure limits, 4th ed. 2020". */
  readonly title: string;
  /** The day somebody last looked at this entry, ISO 8601. */
  readonly reviewed: string;
  /** True where the figure or wording is recalled, not read from the document in front of the writer. */
  readonly fromMemory: boolean;
}

export type CautionTopic = "fire" | "fume" | "dust" | "coolant" | "optics" | "laser" | "electrical";

export interface Caution {
  readonly id: string;
  readonly topic: CautionTopic;
  /** 1 is the most serious; decides the order where several apply. */
  readonly seriousness: 1 | 2 | 3;
  readonly headline: string;
  readonly text: string;
  readonly sources: readonly CautionSource[];
}

/** A material that is never cut, and why. */
export interface NeverCut {
  /** The trade's names of it. */
  readonly materials: string;
  readonly givesOff: string;
  readonly sources: readonly CautionSource[];
}

/** A published limit of what somebody at work may breathe. It is a limit of the law, or of a body's advice: no promise. */
export interface ExposureLimit {
  readonly substance: string;
  /** What of a laser cutter's work it comes from. */
  readonly comesFrom: string;
  readonly value: number;
  readonly unit: "ppm" | "mg/m³";
  /** Over how long the air that is breathed is averaged. */
  readonly averaging: "8 hours" | "10 hours" | "15 minutes" | "at no time above";
  /** Whose limit it is. */
  readonly whose: string;
  readonly source: CautionSource;
}

export const CHECKLIST_IDS = ["before-first-cut", "after-last-cut"] as const;
export type CheckListId = (typeof CHECKLIST_IDS)[number];

export interface CheckListItem {
  readonly id: string;
  readonly text: string;
  /** Empty: common practice, no source. */
  readonly sources: readonly CautionSource[];
}

/** What is looked at before a day's first cut, or after its last: each thing is pressed for itself. */
export interface CheckList {
  readonly id: CheckListId;
  readonly title: string;
  readonly items: readonly CheckListItem[];
}

/** How a check list stands. */
export interface CheckListNow {
  readonly id: CheckListId;
  readonly title: string;
  /** Null if it was never gone through. */
  readonly doneWall: number | null;
  readonly due: boolean;
}
