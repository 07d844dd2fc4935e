import type { Priority } from "../../../station/model/alarm.js";

export const PRIORITY_WORDS: Readonly<Record<Priority, string>> = {
  urgent: "Urgent",
  high: "High",
  medium: "Medium",
  low: "Low",
};
