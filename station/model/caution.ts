/** A published document a caution rests on. */
export interface CautionSource {
  /** Issuing body, number, title and edition or year: "HSE EH40/2005, Workplace exposure limits, 4th ed. 2020". */
  readonly title: string;
  /** The day somebody last looked at this entry, ISO 8601. */
  readonly reviewed: string;
  /** True where the figure or wording is recalled, not read from the document in front of the writer. */
  readonly fromMemory: boolean;
}

export type CautionTopic = "fire" | "fume" | "coolant" | "optics" | "laser" | "electrical";

export interface Caution {
  readonly id: string;
  readonly topic: CautionTopic;
  /** 1 is the most serious; decides the order where several apply. */
  readonly seriousness: 1 | 2 | 3;
  readonly headline: string;
  readonly text: string;
  readonly sources: readonly CautionSource[];
}
