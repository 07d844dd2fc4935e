import { PRIORITIES, type Priority } from "../../../station/model/alarm.js";
import { PriorityShape } from "../marks/priority.js";
import { Sign } from "../marks/signs.js";
import type { Happening } from "./happenings.js";
import { howMany } from "./mark-words.js";

function worstOf(happenings: readonly Happening[]): Priority | null {
  const ranks = happenings.flatMap(({ mark }) =>
    "priority" in mark && mark.priority !== null ? [PRIORITIES.indexOf(mark.priority)] : [],
  );
  return ranks.length === 0 ? null : (PRIORITIES[Math.min(...ranks)] ?? null);
}

/** The most serious of what a mark stands for. */
export function MarkShape({ happenings }: { happenings: readonly Happening[] }) {
  const worst = worstOf(happenings);
  if (worst !== null) return <PriorityShape priority={worst} />;
  if (howMany(happenings, "run") > 0) return <Sign name="runs" />;
  return <Sign name={howMany(happenings, "maintenance") > 0 ? "optics" : "clock"} />;
}
