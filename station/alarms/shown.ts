import {
  type AlarmGroup,
  type AlarmState,
  PRIORITIES,
  type StandingAlarm,
  type StandingState,
  type SuppressedAlarm,
} from "../model/alarm.js";
import { isChattering } from "./chatter.js";
import { isActive, isSuppressed, isThere } from "./machine.js";
import { agoMs, type Looked, type Post } from "./post.js";
import { isOverForNow } from "./recurrence.js";

/** An alarm that stands for longer is stale (ISA-18.2: "more than 24 hours", from memory). */
export const STALE_AFTER_MS = 86_400_000;

const STATE_ORDER: readonly AlarmState[] = [
  "unacknowledged",
  "latched-unacknowledged",
  "returned-unacknowledged",
  "acknowledged",
  "latched-acknowledged",
  "shelved",
  "suppressed-by-design",
  "out-of-service",
  "normal",
];

function isStanding(state: AlarmState): state is StandingState {
  return state !== "normal" && !isSuppressed(state);
}

/** Most urgent first, then by what it asks of people, then the oldest. */
function byUrgency(a: Post, b: Post): number {
  return (
    PRIORITIES.indexOf(a.definition.priority) - PRIORITIES.indexOf(b.definition.priority) ||
    STATE_ORDER.indexOf(a.memory.state) - STATE_ORDER.indexOf(b.memory.state) ||
    a.raisedOrder - b.raisedOrder
  );
}

/** @param looked null before the first look */
export function standingOf(posts: Iterable<Post>, looked: Looked | null): readonly StandingAlarm[] {
  const standing = [...posts].filter(({ memory }) => isStanding(memory.state));
  const first = firstOut(standing);
  return standing.sort(byUrgency).flatMap((post) => {
    const { definition, memory, raised, detail } = post;
    const { state } = memory;
    if (!isStanding(state)) return [];
    const { id, kind, title, priority, group, setpoint, unit } = definition;
    const { cause, consequence, action, respondWithinS, reason } = definition;
    return [
      {
        alarm: id,
        ...{ kind, title, priority, state, raisedWall: raised.wall, detail },
        ...{ cause, consequence, action, respondWithinS, setpoint, unit, reason, group },
        firstOut: first.has(id),
        chattering: looked !== null && isChattering(memory.chatter, looked.now.mono),
        recurring:
          looked !== null && isActive(state) && isOverForNow(definition, memory.recurrence, looked.now.mono),
        stale: looked !== null && agoMs(raised, looked) > STALE_AFTER_MS,
      },
    ];
  });
}

/** Of each group of which several stand, the one that rose first. */
function firstOut(standing: readonly Post[]): ReadonlySet<string> {
  const firsts = new Map<AlarmGroup, { readonly post: Post; readonly alone: boolean }>();
  for (const post of standing) {
    const { group } = post.definition;
    const before = firsts.get(group)?.post;
    const earlier = before !== undefined && before.raisedOrder < post.raisedOrder ? before : post;
    firsts.set(group, { post: earlier, alone: before === undefined });
  }
  return new Set([...firsts.values()].filter(({ alone }) => !alone).map(({ post }) => post.definition.id));
}

/** Those on the shelf first, the one that comes back soonest at the top; then out of service; then by design. */
export function suppressedOf(posts: Iterable<Post>, looked: Looked | null): readonly SuppressedAlarm[] {
  const order = ["shelved", "out-of-service", "suppressed-by-design"];
  return [...posts]
    .flatMap((post): SuppressedAlarm[] => {
      const { memory, heldBack } = post;
      if (!isSuppressed(memory.state)) return [];
      const { id, kind, title, priority } = post.definition;
      const since = heldBack?.since ?? { wall: 0, mono: null };
      const { shelvedUntil } = memory;
      return [
        {
          alarm: id,
          ...{ kind, title, priority, state: memory.state },
          by: heldBack?.by ?? null,
          reason: heldBack?.reason ?? "",
          sinceWall: since.wall,
          forMs: looked === null ? 0 : agoMs(since, looked),
          leftMs:
            shelvedUntil === null || looked === null ? null : Math.max(0, shelvedUntil - looked.now.mono),
          conditionThere: isThere(memory),
        },
      ];
    })
    .sort(
      (a, b) =>
        order.indexOf(a.state) - order.indexOf(b.state) ||
        (a.leftMs ?? 0) - (b.leftMs ?? 0) ||
        PRIORITIES.indexOf(a.priority) - PRIORITIES.indexOf(b.priority),
    );
}
