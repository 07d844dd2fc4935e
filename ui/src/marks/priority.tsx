import type { ComponentChild } from "preact";
import type { Priority } from "../../../station/model/alarm.js";
import { PRIORITY_WORDS } from "./priority-words.js";

/** A shape of its own for each priority, so that none rests on colour: octagon, triangle, diamond, ring. */
const SHAPES: Readonly<Record<Priority, ComponentChild>> = {
  urgent: (
    <>
      <path class="mark-body" d="M10 2h12l8 8v12l-8 8H10l-8-8V10z" />
      <path class="mark-sign" d="M16 8v10M16 23.5v.5" />
    </>
  ),
  high: (
    <>
      <path class="mark-body" d="M16 2.5 30.5 28.5h-29z" />
      <path class="mark-sign" d="M16 12v7.5M16 24v.5" />
    </>
  ),
  medium: (
    <>
      <path class="mark-body" d="M16 1.5 30.5 16 16 30.5 1.5 16z" />
      <path class="mark-sign" d="M16 10v7M16 21.5v.5" />
    </>
  ),
  low: (
    <>
      <circle class="mark-ring" cx="16" cy="16" r="12" />
      <path class="mark-sign mark-sign-ring" d="M16 10v7M16 21.5v.5" />
    </>
  ),
};

/** The shape alone; the word belongs beside it. */
export function PriorityShape({ priority }: { priority: Priority }) {
  return (
    <svg class={`mark mark-${priority}`} viewBox="0 0 32 32" aria-hidden="true">
      {SHAPES[priority]}
    </svg>
  );
}

export function PriorityMark({ priority }: { priority: Priority }) {
  return (
    <span class={`priority priority-${priority}`}>
      <PriorityShape priority={priority} />
      <span>{PRIORITY_WORDS[priority]}</span>
    </span>
  );
}
