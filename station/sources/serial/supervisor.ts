import type { Clock } from "../../model/instant.js";
import { textOf } from "../errno.js";
import type { Port, PortFactory } from "./port.js";
import {
  CLOSED,
  dueAt,
  type Supervision,
  type SupervisionEvent,
  type SupervisionTimes,
  step,
  troubleOfLoss,
  troubleOfOpening,
} from "./supervision.js";

export interface PortSupervisor {
  start(): void;
  /** Resolves once the port is closed. */
  stop(): Promise<void>;
  now(): Supervision;
}

export interface PortSupervising {
  readonly path: string;
  readonly clock: Clock;
  readonly times: SupervisionTimes;
  readonly ports: PortFactory;
  /** A new port was opened: what was half received belongs to the old one. */
  opened(): void;
  /** Returns whether there was a good frame among the bytes. */
  data(bytes: Uint8Array): boolean;
  changed(from: Supervision, to: Supervision): void;
}

interface Held {
  readonly port: Port | null;
  /** Settles, and never rejects, when the opening has ended either way. */
  readonly opening: Promise<void>;
}

/** Keeps one port open. Every decision is `step`'s; this holds the port and the one timer. */
export function supervisePort(supervising: PortSupervising): PortSupervisor {
  const { path, clock, times, ports } = supervising;
  let now: Supervision = CLOSED;
  let held: Held | null = null;
  let timer: NodeJS.Timeout | null = null;
  let releasing: Promise<void> = Promise.resolve();

  const happen = (event: SupervisionEvent) => {
    const from = now;
    const { next, action } = step(from, event, clock.now().mono, times);
    now = next;
    arm();
    if (action === "open") open();
    if (action === "release") release();
    if (from !== next) supervising.changed(from, next);
  };

  const arm = () => {
    if (timer !== null) clearTimeout(timer);
    timer = null;
    const due = dueAt(now, times);
    if (due === null) return;
    timer = setTimeout(
      () => {
        timer = null;
        // A timer may be a little early by the other clock; the moment itself decides.
        if (clock.now().mono < (dueAt(now, times) ?? 0)) arm();
        else happen({ event: "due" });
      },
      Math.max(1, Math.ceil(due - clock.now().mono)),
    );
  };

  const open = () => {
    const turn = { port: null as Port | null, opening: Promise.resolve() };
    // Whatever an old port still says is not about this one.
    const mine = (act: () => void) => {
      if (held === turn) act();
    };
    held = turn;
    const opening = async () => {
      turn.port = ports({
        data: (bytes) => mine(() => happen({ event: supervising.data(bytes) ? "frame" : "noise" })),
        closed: (error) => mine(() => happen({ event: "lost", trouble: troubleOfLoss(path, error) })),
      });
      await turn.port.open();
    };
    turn.opening = opening().then(
      () =>
        mine(() => {
          supervising.opened();
          happen({ event: "opened" });
        }),
      (error: unknown) =>
        mine(() => happen({ event: "open-failed", trouble: troubleOfOpening(path, textOf(error)) })),
    );
  };

  const release = () => {
    const old = held;
    held = null;
    releasing = releasing
      .then(() => old?.opening)
      .then(() => old?.port?.close())
      // A close that fails leaves a handle that nobody can use: there is nothing more to wait for.
      .catch(() => {})
      .then(() => happen({ event: "released" }));
  };

  return {
    start: () => happen({ event: "start" }),
    stop: async () => {
      happen({ event: "stop" });
      await releasing;
    },
    now: () => now,
  };
}
